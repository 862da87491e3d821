/// Why an audit does not pass, and what its capture cannot tell, in words.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "firmware_sim/contract/fault_table.hpp"
#include "harness/cli/audit_text.hpp"

namespace rimebench {

namespace {

std::string count_of(std::int64_t count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

std::string first_of(const std::vector<ShotFault>& faults) {
  const ShotFault& first = faults.front();
  const std::string container =
      first.container > 0 ? fmt::format(", container {}", first.container) : std::string();
  return fmt::format("first at {:.6f} s{}", first.at_us * 1e-6, container);
}

}  // namespace

const char* name_of(Fault fault) {
  const char* const name = fault_name(static_cast<std::int32_t>(fault));
  return name != nullptr ? name : "?";
}

namespace {

std::string worst_length(const AuditReport& report) {
  const auto worst = std::max_element(
      report.places.begin(), report.places.end(), [](const auto& a, const auto& b) {
        return std::abs(a.second.off_us.median) < std::abs(b.second.off_us.median);
      });
  return fmt::format("place {}'s shots are {:+.2f} ms off the recipe's length", worst->first,
                     worst->second.off_us.median / 1e3);
}

std::string law_text(const AuditReport& report) {
  if (report.law->kind == DelayKind::kNeither) {
    return "the delay is neither a constant time nor a constant distance";
  }
  return "the delay is a constant time, but the recipe asks for a distance along the belt: it is "
         "right at one speed only";
}

std::string no_belt_text(const AuditReport& report) {
  return fmt::format(
      "the recipe goes by line pulses, and the capture has {}: where the belt was is not known",
      count_of(report.pulses.pulses, "pulse"));
}

std::string too_few_text(const AuditReport& report) {
  return fmt::format("{} of {} could be given to a container: too few to measure",
                     report.delay_us.count, count_of(std::ssize(report.shots), "whole shot"));
}

std::string never_ran_text(const AuditReport& report) {
  const std::string why = report.core.fault == Fault::kNone
                              ? "is run_permit given, are the interlocks?"
                              : name_of(report.core.fault);
  return "the controller never came to run on these inputs: " + why;
}

}  // namespace

const char* reason_key(AuditReason reason) {
  constexpr const char* kKeys[] = {"missing_shots",  "double_shots", "orphan_shots", "shot_length",
                                   "late",           "delay_law",    "pulses",       "edges_differ",
                                   "recipe_off",     "no_belt",      "too_few",      "cut",
                                   "core_never_ran", "core_unfed"};
  return kKeys[static_cast<std::size_t>(reason)];
}

std::string reason_text(const AuditReport& report, AuditReason reason) {
  switch (reason) {
    case AuditReason::kMissing:
      return count_of(std::ssize(report.missing), "container") +
             " without the shot it was to get; " + first_of(report.missing);
    case AuditReason::kDouble:
      return count_of(std::ssize(report.doubles), "container") + " shot at twice; " +
             first_of(report.doubles);
    case AuditReason::kOrphan:
      return count_of(std::ssize(report.orphans), "shot") + " for no container; " +
             first_of(report.orphans);
    case AuditReason::kLengths:
      return worst_length(report);
    case AuditReason::kLate:
      return fmt::format("shots land {:+.2f} mm from where the recipe wants them (median)",
                         report.late_um.median / 1e3);
    case AuditReason::kDelayIsTime:
      return law_text(report);
    case AuditReason::kPulses:
      return fmt::format("{} lost, {} too many; first at {:.6f} s",
                         count_of(report.pulses.lost, "line pulse"), report.pulses.extra,
                         report.pulses.faults.front().at_us * 1e-6);
    case AuditReason::kCoreDiffers:
      return "the controller, given the same inputs, does something else than the line's did" +
             (report.core.fault == Fault::kNone
                  ? std::string()
                  : fmt::format("; it stops at {:.6f} s: {}", report.core.fault_us * 1e-6,
                                name_of(report.core.fault)));
    case AuditReason::kRecipeOff:
      return count_of(std::ssize(report.corrections), "key") +
             " of the recipe that the line contradicts";
    case AuditReason::kNoBelt:
      return no_belt_text(report);
    case AuditReason::kTooFew:
      return too_few_text(report);
    case AuditReason::kCut:
      return fmt::format("the trace has no end: it is good up to {} us", report.end.us);
    case AuditReason::kCoreNeverRan:
      return never_ran_text(report);
    case AuditReason::kCoreUnfed:
      return "the controller, given the same inputs, does something else than the line's did, but "
             "the recipe doses by samples of the head that are not captured";
  }
  return {};
}

std::vector<std::string> not_told(const AuditReport& report) {
  std::vector<std::string> all;
  if (!report.valve) {
    all.emplace_back(
        "valve latency: only the command is captured. Capture valve_feedback (or valve_actual, "
        "what "
        "the valve really does); until then opening, closing and flight are one sum");
  } else if (report.valve->wire == Channel::kValveFeedback) {
    all.push_back(fmt::format(
        "the feedback's own delay: {} us by the line's file; what it really is is in the valve's",
        report.valve->taken_off_us));
  }
  if (!report.pulsed) {
    all.emplace_back(
        "a constant time from a constant distance: the recipe has no line pulse, so the belt "
        "counts "
        "as steady");
  } else if (!report.sensor) {
    all.emplace_back(
        "sensor latency: it shows only where the belt's speed goes up and down (5 % or more), "
        "against "
        "the filler's pitch; at one speed it cannot be told from where the sensor stands");
  } else {
    all.emplace_back(
        "sensor latency against the pulses' own: what delays both alike does not show");
  }
  if (!report.sightings.places_known) {
    all.emplace_back("places in the group: group_start is not captured; all count as place 1");
  }
  if (report.shots.empty()) return all;
  all.emplace_back("flight time, and where a shot really lands: no wire shows it");
  return all;
}

}  // namespace rimebench
