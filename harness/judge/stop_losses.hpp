#pragma once

#include <vector>

#include "harness/judge/verdict.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// What each scheduled stop of the line costs: the containers, bad or called for at the gate, that
/// were between sensor and seam while it lasted and until the belt was at speed again. One that two
/// stops met counts for the earlier.
class StopLosses {
 public:
  explicit StopLosses(const PlantSpec& plant);

  void on_row(const LedgerRow& row);
  const std::vector<StopFigures>& figures() const { return figures_; }

 private:
  struct Span {
    Instant from;
    Instant to;  ///< at speed again, and the dosing head steady
  };

  std::vector<StopFigures> figures_;
  std::vector<Span> spans_;  ///< of each
};

}  // namespace rimebench
