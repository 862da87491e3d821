#pragma once

#include <utility>

#include "harness/report/document.hpp"

namespace rimebench {

/// Adds a block, unless there is nothing in it.
template <class Body>
void add(Document& document, Block block, Body body) {
  if constexpr (requires { body.rows; }) {
    if (body.rows.empty()) return;
  }
  if constexpr (requires { body.pictures; }) {
    if (body.pictures.empty()) return;
  }
  block.body = std::move(body);
  document.blocks.push_back(std::move(block));
}

/// What holds of every report.
inline void add_usual_cautions(Document& document) {
  document.cautions.emplace_back(
      "A model proves logic and timing, not a package: the container supplier's rating, local "
      "codes and licensed practice decide.");
  document.cautions.emplace_back(
      "Liquid nitrogen burns, displaces oxygen and can burst a closed pack.");
}

}  // namespace rimebench
