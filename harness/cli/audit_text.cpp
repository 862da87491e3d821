#include "harness/cli/audit_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/cli/change_text.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kFaultsShown = 5;

std::string ms(double us) { return fmt::format("{:.3f}", us / 1e3); }

std::string spread(const Measured& m, double unit, const char* name) {
  return fmt::format("{:+.3f} {} (95 % sure {:+.3f} to {:+.3f}); one scatters by {:.3f}{}",
                     m.mean.value / unit, name, m.mean.low / unit, m.mean.high / unit, m.sd / unit,
                     m.outliers > 0 ? fmt::format("; {} of {} outliers left out, median {:+.3f}",
                                                  m.outliers, m.count, m.median / unit)
                                    : std::string());
}

std::string interval(const Estimate& e, int decimals) {
  return fmt::format("{:.{}f} (95 % sure {:.{}f} to {:.{}f})", e.value, decimals, e.low, decimals,
                     e.high, decimals);
}

std::string head_text(const AuditReport& report, const AuditContext& context) {
  std::string text =
      fmt::format("audit of {}: {:.3f} s, {} containers, {} shots\n  line {}, recipe {}\n\n",
                  context.file, static_cast<double>((report.end - report.begin).raw) * 1e-6,
                  report.containers.size(), report.shots.size(), context.line, context.recipe);
  const SeenContainers& seen = report.sightings;
  if (seen.begins_in_container) {
    text += "the capture begins with a container before the sensor: that one is left out\n";
  }
  if (seen.off_belt > 0) {
    text += fmt::format("{} containers passed while no pulse told where the belt was: left out\n",
                        seen.off_belt);
  }
  if (seen.chatter + seen.double_edges > 0) {
    text += fmt::format(
        "sensor: {} levels shorter than the debounce, {} edges too close for a container: left "
        "out\n",
        seen.chatter, seen.double_edges);
  }
  if (report.cut_shots + report.before_capture > 0) {
    text += fmt::format("{} shots cut by the capture's ends, {} for containers from before it\n",
                        report.cut_shots, report.before_capture);
  }
  if (report.service > 0) {
    text += fmt::format("{} shots to dry, cool or test the head\n", report.service);
  }
  return text;
}

std::string pulses_text(const AuditReport& report) {
  const PulseAudit& pulses = report.pulses;
  if (!report.pulsed) {
    return fmt::format("belt         no line pulse by the recipe: {:.0f} mm/s throughout\n",
                       pulses.fastest_um_per_us * 1e3);
  }
  return fmt::format(
      "line pulses  {}: {} lost, {} too many, {} standstills; one comes {:.1f} us off its "
      "neighbours'\n             belt at {:.0f} to {:.0f} mm/s (1 % slower, 1 % faster)\n",
      pulses.pulses, pulses.lost, pulses.extra, pulses.standstills, pulses.jitter_us,
      pulses.slowest_um_per_us * 1e3, pulses.fastest_um_per_us * 1e3);
}

const char* law_says(DelayKind kind) {
  switch (kind) {
    case DelayKind::kTime:
      return "a constant TIME explains it";
    case DelayKind::kDistance:
      return "a constant distance explains it";
    case DelayKind::kNeither:
      return "neither explains it";
    case DelayKind::kCannotTell:
      break;
  }
  return "cannot be told";
}

/// Beyond any doubt there is no need to say how far.
std::string likelier(const DelayLaw& law) {
  constexpr double kShownMost = 100.0;
  return law.surer > kShownMost ? "more than 10^100" : fmt::format("10^{:.0f}", law.surer);
}

std::string law_text(const DelayLaw& law) {
  std::string text = fmt::format(
      "  sensor's edge to landing, over speeds that differ by {:.0f} %:\n"
      "    constant time      {} ms, leaves {} ms\n"
      "    constant distance  {} mm, leaves {} ms\n",
      law.speed_range * 100.0,
      interval({law.time_us.value / 1e3, 0.0, law.time_us.low / 1e3, law.time_us.high / 1e3}, 3),
      ms(law.time_spread_us),
      interval(
          {law.distance_um.value / 1e3, 0.0, law.distance_um.low / 1e3, law.distance_um.high / 1e3},
          3),
      ms(law.distance_spread_us));
  text += "    " + law_sentence(law) + "\n";
  if (law.kind == DelayKind::kCannotTell) return text;
  return text +
         fmt::format("    free of both: {} ms and {} mm\n",
                     interval({law.both_time_us.value / 1e3, 0.0, law.both_time_us.low / 1e3,
                               law.both_time_us.high / 1e3},
                              3),
                     interval({law.both_distance_um.value / 1e3, 0.0,
                               law.both_distance_um.low / 1e3, law.both_distance_um.high / 1e3},
                              3));
}

std::string delay_text(const AuditReport& report) {
  if (report.delay_us.count == 0) return "no shot belongs to a container seen\n";
  std::string text = "\nsensor to valve, by container\n";
  text += fmt::format("  delay            {} ms on the mean, {} in the middle\n",
                      ms(report.delay_us.mean.value), ms(report.delay_us.median));
  if (report.late_us.count > 0) {
    text += "  later than asked " + spread(report.late_us, 1e3, "ms") + "\n";
    text += "  which is         " + spread(report.late_um, 1e3, "mm along the belt") + "\n";
  }
  if (report.matched_by_time) {
    text += "  shots fit the containers by time, not by belt travel\n";
  }
  return report.law ? text + law_text(*report.law) : text;
}

std::string places_text(const AuditReport& report) {
  if (report.places.empty()) return {};
  std::string text =
      "\nshots by place\n  place  shots  length ms  scatter  asked ms    off ms  to place 1\n";
  const double first = report.places.begin()->second.length_us.mean.value;
  for (const auto& [place, row] : report.places) {
    const std::string asked = row.asked_us ? ms(*row.asked_us) : "(untold)";
    const std::string off =
        row.asked_us ? fmt::format("{:+.3f}", row.off_us.mean.value / 1e3) : std::string("-");
    text += fmt::format("  {:>5}  {:>5}  {:>9}  {:>7}  {:>8}  {:>8}  {:>9.1f} %\n", place,
                        row.length_us.count, ms(row.length_us.mean.value), ms(row.length_us.sd),
                        asked, off, 100.0 * row.length_us.mean.value / first);
  }
  return text;
}

std::string fault_rows(const char* what, const std::vector<ShotFault>& faults) {
  std::string text = fmt::format("  {:<9} {}", what, faults.size());
  for (std::size_t i = 0; i < std::min(faults.size(), kFaultsShown); ++i) {
    const ShotFault& fault = faults[i];
    text += i == 0 ? ": " : "; ";
    if (fault.container > 0) text += fmt::format("container {} ", fault.container);
    text += fmt::format("at {:.6f} s", fault.at_us * 1e-6);
  }
  if (faults.size() > kFaultsShown) text += "; ...";
  return text + "\n";
}

std::string faults_text(const AuditReport& report) {
  std::string text = "\nshots against containers\n" + fault_rows("missing", report.missing) +
                     fault_rows("double", report.doubles) + fault_rows("orphan", report.orphans);
  if (report.refused.empty()) return text;
  return text + fault_rows("refused", report.refused) +
         "            (the controller gives these none either)\n";
}

std::string latencies_text(const AuditReport& report) {
  std::string text = "\nlatencies\n";
  if (report.valve) {
    const ChangeText names;
    const ValveLatency& valve = *report.valve;
    text += fmt::format("  valve opens   {} us, one scatters by {:.0f} us\n",
                        interval(valve.open_us.mean, 0), valve.open_us.sd);
    text += fmt::format("  valve closes  {} us, one scatters by {:.0f} us\n",
                        interval(valve.close_us.mean, 0), valve.close_us.sd);
    text += fmt::format("    by {}; {} outliers left out, {} shots that it does not follow\n",
                        names.name(valve.wire), valve.open_us.outliers + valve.close_us.outliers,
                        valve.no_answer);
  }
  if (report.sensor) {
    const SensorLatency& sensor = *report.sensor;
    text += fmt::format(
        "  sensor        {} us, by {} containers about the filler's pitch, {} left "
        "out\n  line pulse    {} um of belt travel\n",
        interval(sensor.latency_us, 0), sensor.containers, sensor.outliers,
        interval(sensor.pulse_pitch_um, 2));
  }
  for (const std::string& sentence : not_told(report)) text += "  not told: " + sentence + "\n";
  return text;
}

std::string start_text(const CoreRun& core) {
  if (core.own_start) return "  the capture holds its own start and recipe: taken as they stand\n";
  const ChangeText names;
  std::string text = fmt::format(
      "  put before the capture: power, recipe, reset and start, {} ms before its first instant\n",
      core.start.before.raw / 1000);
  if (!core.start.given.empty()) {
    text += "    given, as not captured:";
    for (const Channel channel : core.start.given) text += " " + names.name(channel);
    text += "\n";
  }
  if (core.start.left_out.empty()) return text;
  text += "    not asked for, as nothing captured would answer:";
  for (const Parameter parameter : core.start.left_out) {
    text += std::string(" ") + row_of(parameter).key;
  }
  return text + "\n";
}

std::string difference_text(const ReplayDifference& difference) {
  const ChangeText names;
  std::string text = "  the first that differs, with what came before it:\n";
  for (const SignalChange& change : difference.before) {
    const bool input = class_of(change.channel) == ChannelClass::kToController;
    text += (input ? "    in        " : "    out       ") + names.line(change) + "\n";
  }
  const auto side = [&](const std::optional<SignalChange>& change) {
    return change ? names.line(*change) : std::string("(none within the tolerance)");
  };
  return text + "    captured  " + side(difference.recorded) + "\n    controller" +
         side(difference.replayed) + "\n";
}

std::string core_text(const AuditReport& report) {
  const ChangeText names;
  std::string text = "\nthe same inputs through the controller\n" + start_text(report.core);
  if (report.core.fault != Fault::kNone) {
    text += fmt::format("  it raises {} at {:.6f} s\n", name_of(report.core.fault),
                        report.core.fault_us * 1e-6);
  }
  if (!report.comparison) return text + "  nothing could be compared\n";
  const CoreComparison& comparison = *report.comparison;
  text += fmt::format("  compared from {:.6f} s on, edges within {:.0f} us of each other\n",
                      comparison.from_us * 1e-6, comparison.within_us);
  for (const ChannelComparison& row : comparison.channels) {
    if (row.captured + row.only_core == 0) continue;
    text += fmt::format(
        "    {:<18} {:>7} captured, {:>7} agree (median {:+.0f} us later), {} only of "
        "the controller\n",
        names.name(row.channel), row.captured, row.agreed, row.later_us.median, row.only_core);
  }
  for (const Channel channel : comparison.not_compared) {
    text += "    " + names.name(channel) + ": not compared, what came before it is not known\n";
  }
  return comparison.first ? text + difference_text(*comparison.first) : text;
}

std::string corrections_text(const AuditReport& report) {
  if (report.corrections.empty()) {
    return fmt::format(
        "\nrecipe  nothing that the capture tells moves the landing by {:.1f} mm or more\n",
        kMaterialUm / 1e3);
  }
  std::string text = "\nrecipe, corrected\n";
  for (const Correction& one : report.corrections) {
    text +=
        fmt::format("  {:<22} {:>7} -> {:<7} measured {}; lands {:+.2f} mm off by it\n", one.key,
                    one.old_value, one.new_value, interval(one.measured, 1), one.landing_um / 1e3);
  }
  return text;
}

}  // namespace

std::string law_sentence(const DelayLaw& law) {
  if (law.kind == DelayKind::kCannotTell) {
    return "which it is cannot be told: the speed hardly varies";
  }
  return fmt::format("{}, {} times as likely as the other", law_says(law.kind), likelier(law));
}

Outcome outcome_of(const AuditReport& report) {
  Outcome outcome = Outcome::kPass;
  for (const AuditReason reason : report.reasons) {
    if (!leaves_open(reason)) return Outcome::kFail;
    outcome = Outcome::kInconclusive;
  }
  return outcome;
}

std::string audit_text(const AuditReport& report, const AuditContext& context) {
  std::string verdict = outcome_of(report) == Outcome::kPass   ? "PASS"
                        : outcome_of(report) == Outcome::kFail ? "FAIL"
                                                               : "INCONCLUSIVE";
  std::string text = head_text(report, context) + pulses_text(report) + delay_text(report) +
                     places_text(report) + faults_text(report) + latencies_text(report) +
                     core_text(report) + corrections_text(report) + "\n" + verdict;
  for (const AuditReason reason : report.reasons) text += "\n  " + reason_text(report, reason);
  return text + "\n";
}

}  // namespace rimebench
