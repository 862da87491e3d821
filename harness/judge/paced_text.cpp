#include "harness/judge/paced_text.hpp"

#include <fmt/format.h>

namespace rimebench {

namespace {

/// Median, 99 % and worst stand on channels one after the other.
std::string delays_text(const char* what, const PacedFigures& paced, Channel median) {
  const auto figure = [&](int n) { return paced[static_cast<Channel>(number(median) + n)]; };
  return fmt::format("  {:<26}  {:>8} us  {:>8} us  {:>8} us\n", what, figure(0), figure(1),
                     figure(2));
}

std::string grant_text(const char* what, std::int32_t grant) {
  const char* answer = grant == static_cast<std::int32_t>(SystemGrant::kGranted)
                           ? "granted by the system"
                           : "refused by the system, the run went on without";
  return grant == 0 ? "" : fmt::format("  {}: {}\n", what, answer);
}

}  // namespace

std::optional<std::string> late_reason(const PacedFigures& paced) {
  if (paced[Channel::kPacedInputsLate] == 0) return std::nullopt;
  return fmt::format(
      "the bench or the link was late: {} of {} inputs, the first at {:.3f} s; the worst reached "
      "the node {} us after its time, {} us are allowed; a run that was late proves nothing",
      paced[Channel::kPacedInputsLate], paced[Channel::kPacedInputs],
      paced[Channel::kPacedFirstLate] / 1e3, paced[Channel::kPacedLateWorst],
      paced[Channel::kPacedLateMax]);
}

std::string paced_text(const PacedFigures& paced) {
  std::string text = "paced on the wall clock: no determinism claim\n";
  text += fmt::format("  {:<26}  {:>11}  {:>11}  {:>11}\n", "late by", "median", "99 %", "worst");
  text += delays_text("bench, sending inputs", paced, Channel::kPacedBenchMedian);
  text += delays_text("link, to the node", paced, Channel::kPacedLinkMedian);
  text += delays_text("together", paced, Channel::kPacedLateMedian);
  text += delays_text("node, outputs at its pins", paced, Channel::kPacedPinMedian);
  text +=
      fmt::format("  {} of {} inputs were more than {} us late\n", paced[Channel::kPacedInputsLate],
                  paced[Channel::kPacedInputs], paced[Channel::kPacedLateMax]);
  const double ahead_s =
      paced[Channel::kPacedClockAheadWhole] + paced[Channel::kPacedClockAheadRest] / 1e6;
  text +=
      fmt::format("  the node's clock: {:.6f} s ahead, known to {} us, {:+.3f} ppm fast\n", ahead_s,
                  paced[Channel::kPacedClockError], paced[Channel::kPacedClockDrift] / 1e3);
  text += grant_text("locked memory", paced[Channel::kPacedLockMemory]);
  text += grant_text("real-time priority", paced[Channel::kPacedRealtime]);
  return text;
}

}  // namespace rimebench
