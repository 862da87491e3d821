#pragma once

/// Paced: the plant and the node run on the wall clock, for hardware that cannot wait.
///   plant ── each input at its time ──> node ── each output at its pin's time ──> plant ── stream,
///   rows ──> sink
/// A run on the wall clock is not repeatable and claims no determinism. What spoils it is measured:
/// an input is `late` by what the bench was late in sending it and by its time on the link; a run
/// in which one was later than the budget proves nothing. The figures stand in the stream as
/// witnesses, so that a stored trace is judged as the run was.

#include "harness/link/paced_node.hpp"
#include "harness/session/clock_fit.hpp"
#include "harness/session/delay_log.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// What goes into the stream beside what is measured.
struct PacedTerms {
  Duration late_max{5'000};  ///< the budget: an input may reach the node so late
  SystemGrant lock_memory{};
  SystemGrant realtime{};
};

struct PacedResult {
  Instant end;
  std::uint64_t exchanges{};
  DelayFigures bench;         ///< inputs sent after their time
  DelayFigures link;          ///< inputs on their way to the node
  DelayFigures input;         ///< both together
  DelayFigures pins;          ///< the node's own: outputs at its pins after they were due
  std::size_t inputs_late{};  ///< beyond the budget
  Instant first_late{};       ///< the time of the first of them
  Duration clock_offset{};
  Duration clock_offset_error{};
  double clock_drift_ppm{};
};

/// Runs the plant against the node until the line has run empty. `result` is filled in the end, and
/// when the run throws. Throws LinkError when the link is lost or the node breaks the rules of the
/// contract.
void run_paced(const PlantSpec& spec, PacedNode& node, const PacedTerms& terms, RunSink& sink,
               PacedResult& result);

}  // namespace rimebench
