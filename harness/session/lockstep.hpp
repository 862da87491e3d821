#pragma once

/// Lockstep: the plant and the node take turns in simulated time. How long an answer takes on the
/// wall clock cannot matter; how a run is cut into grants cannot matter either.
///   plant ── inputs up to T ──> node ── outputs before what it reached ──> plant ── stream, rows
///   ──> sink

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "harness/link/node.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// How a run is cut into grants, to prove that it does not matter.
struct GrantCut {
  std::size_t inputs_max{kInputsUsual};  ///< about so many inputs a grant
  bool random{false};                    ///< and cut short at random moments besides

  static constexpr std::size_t kInputsUsual = 256;
  static constexpr std::size_t kInputsAll = 65'536;
};

/// From the option's text: a number of at least 1, "all" or "random"; nothing if it is none of
/// these.
std::optional<GrantCut> parse_grant_cut(const std::string& text);

struct LockstepResult {
  Instant end;
  std::uint64_t exchanges{};
};

/// Runs the plant against the node until the line has run empty. `result` is kept up to date, so
/// that it tells how far a run came that threw. Throws LinkError when the link is lost or when the
/// node breaks the rules of the contract (an output that is no change, out of order, or on a
/// channel not its own).
void run_lockstep(const PlantSpec& spec, Node& node, const GrantCut& cut, RunSink& sink,
                  LockstepResult& result);

}  // namespace rimebench
