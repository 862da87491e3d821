#include "harness/judge/verdict_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "harness/judge/finding_text.hpp"
#include "harness/judge/paced_text.hpp"
#include "harness/judge/verdict_json.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kMicros = 1e6;
const std::string kIndent(6, ' ');

std::string duration(Instant at) {
  const std::int64_t whole = at.us / kMicrosPerSecond;
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

std::string machine(const Scenario& scenario) {
  const LineSpec& line = scenario.plant.line;
  const bool rotary = line.filler.kind == FillerKind::kRotary;
  std::string text =
      rotary ? "rotary filler" : fmt::format("inline filler, {} heads", line.filler.heads);
  if (line.transport == Transport::kLocked) return text + ", locked to the seamer";
  return text + fmt::format(", queue before a seamer of {:.2f} s a container",
                            static_cast<double>(line.seamer.cycle_us) / kMicros);
}

const char* headline_word(Outcome outcome) {
  switch (outcome) {
    case Outcome::kPass:
      return "PASS  ";
    case Outcome::kFail:
      return "FAIL  ";
    case Outcome::kInconclusive:
      return "INCONCLUSIVE  ";
  }
  return "";
}

std::string painted(const std::string& text, Outcome outcome, const TextLook& look) {
  if (!look.colour) return text;
  constexpr const char* kGreen = "\033[32m";
  constexpr const char* kRed = "\033[31m";
  constexpr const char* kYellow = "\033[33m";
  const char* const colour = outcome == Outcome::kPass   ? kGreen
                             : outcome == Outcome::kFail ? kRed
                                                         : kYellow;
  return colour + text + "\033[0m";
}

/// Broken between words where a line would grow too long; every line after the first is indented.
std::string wrapped(const std::string& text, std::size_t indent, const TextLook& look) {
  std::string result;
  std::size_t start = 0;
  while (text.size() - start + indent > look.columns) {
    const std::size_t space = text.rfind(' ', start + look.columns - indent);
    if (space == std::string::npos || space <= start) break;
    result += text.substr(start, space - start) + "\n" + std::string(indent, ' ');
    start = space + 1;
  }
  return result + text.substr(start) + "\n";
}

/// The verdict and its reason, whose second part goes on a line of its own.
std::string headline(const Verdict& verdict, const TextLook& look) {
  const std::string word = headline_word(verdict.outcome);
  const std::string shown = painted(word, verdict.outcome, look);
  if (verdict.outcome == Outcome::kPass) return shown + "every expectation is met\n";
  const std::size_t parted = verdict.reason.find("; ");
  std::string text = shown + wrapped(verdict.reason.substr(0, parted), word.size(), look);
  if (parted != std::string::npos) {
    text += kIndent + wrapped(verdict.reason.substr(parted + 2), kIndent.size(), look);
  }
  return text;
}

/// A scenario may be there to fail; then say so, or the reader hunts a fault that was planted.
std::string expectation(const Scenario& scenario, const Verdict& verdict, const TextLook& look) {
  const Outcome expected = expected_outcome(scenario.claim);
  const bool as_expected = expected == verdict.outcome;
  if (as_expected && verdict.outcome == Outcome::kPass) return {};
  std::string text =
      as_expected ? "as the scenario expects"
                  : fmt::format("but the scenario expects the verdict {}", to_text(expected));
  if (!scenario.reason.empty()) text += ": " + scenario.reason;
  return kIndent + wrapped(text, kIndent.size(), look);
}

std::string findings_text(const Verdict& verdict, const TextLook& look) {
  std::size_t width = 0;
  for (const Finding& finding : verdict.findings) width = std::max(width, finding.name.size());
  std::string text = fmt::format("{:<{}}  {:<21}  limit\n", "expectations", width + 8, "worst");
  for (const Finding& finding : verdict.findings) {
    const char* const mark = finding.outcome == Outcome::kPass   ? "ok  "
                             : finding.outcome == Outcome::kFail ? "FAIL"
                                                                 : "?   ";
    text += fmt::format("  {}  {:<{}}  {:<21}  {}\n", painted(mark, finding.outcome, look),
                        finding.name, width, measured_text(finding), limit_text(finding));
    if (finding.outcome != Outcome::kFail) continue;
    const std::string breach = breach_text(finding);
    if (!breach.empty()) text += "        " + wrapped(breach, 8, look);
  }
  return text;
}

std::string places_text(const Scenario& scenario, const Verdict& verdict) {
  if (verdict.places.empty()) return {};
  const ContainerLimits& limits = scenario.plant.limits;
  std::string text = fmt::format(
      "sealed pressure at {:.0f} C with the gas settled, containers on the good side of the gate\n",
      limits.judge_c);
  text += "  place  containers    mean kPa (psi)   deviation    least     most\n";
  const double least_allowed = static_cast<double>(limits.equilibrium_pa_min) / kPaPerKpa;
  const double most_allowed = static_cast<double>(limits.equilibrium_pa_max) / kPaPerKpa;
  for (const auto& [number, place] : verdict.places) {
    const char* const note = place.least_kpa < least_allowed ? "  too soft"
                             : place.most_kpa > most_allowed ? "  too hard"
                                                             : "";
    text += fmt::format("  {:>5}  {:>10}  {:>9.1f} ({:>4.1f})  {:>9.1f}  {:>7.1f}  {:>7.1f}{}\n",
                        number, place.containers, place.mean_kpa, place.mean_kpa / kKpaPerPsi,
                        place.sd_kpa, place.least_kpa, place.most_kpa, note);
  }
  return text + "\n";
}

std::string share_text(const Share& share) {
  if (share.of == 0) return "none seen";
  return fmt::format("{} of {}: {:.3f} % (95 % confidence {:.3f} to {:.3f} %)", share.count,
                     share.of, share.percent, share.low_percent, share.high_percent);
}

/// What each place's dose is off, mean and worst.
std::string doses_text(const Verdict& verdict) {
  std::string text =
      "dose landed against what the recipe wants for the wait it had\n"
      "  place       dosed    mean off    worst off\n";
  bool any = false;
  for (const auto& [number, place] : verdict.places) {
    if (place.dosed == 0) continue;
    any = true;
    text += fmt::format("  {:>5}  {:>10}  {:>+8.1f} %  {:>+9.1f} %\n", number, place.dosed,
                        place.dose_error_mean_percent, place.dose_error_worst_percent);
  }
  return any ? text + "\n" : "";
}

/// A long shift has many: those that cost what they may not are always shown, of the others ten.
std::string stops_text(const Verdict& verdict) {
  if (verdict.stops.empty()) return {};
  std::string text = "stops of the line, and the containers that each may cost\n";
  text += "  at             for       least    most    cost\n";
  constexpr int kShown = 10;
  int kept_back = 0;
  int shown = 0;
  for (const StopFigures& stop : verdict.stops) {
    const char* const note = stop.lost < stop.least  ? "  fewer"
                             : stop.lost > stop.most ? "  more"
                                                     : "";
    if (*note == 0 && shown++ >= kShown) {
      ++kept_back;
      continue;
    }
    text += fmt::format("  {:<13}  {:<8}  {:>5}  {:>6}  {:>6}{}\n", duration(stop.at),
                        fmt::format("{:.0f} s", static_cast<double>(stop.lasts.raw) / kMicros),
                        stop.least, stop.most, stop.lost, note);
  }
  if (kept_back > 0) text += fmt::format("  and {} more, each within its range\n", kept_back);
  return text + "\n";
}

/// The greatest hot pressure as a part of what is allowed.
std::string hot_text(const Scenario& scenario, const Verdict& verdict) {
  if (verdict.hot_over.of == 0) return {};
  const Finding kpa{.unit = "kPa", .decimals = 1};
  const std::int64_t allowed = scenario.plant.limits.hot_prompt_pa_max;
  std::string text =
      "hot            " + figure_text(kpa, static_cast<double>(verdict.hot_most_pa) / kPaPerKpa);
  if (allowed < kLiquidFullPa && verdict.hot_most_pa < kLiquidFullPa) {
    text += fmt::format(
        " at most, {:.0f} % of what is allowed",
        100.0 * static_cast<double>(verdict.hot_most_pa) / static_cast<double>(allowed));
  }
  text += fmt::format(" at {:.0f} C\n", scenario.plant.limits.hot_c);
  if (verdict.hot_over.count > 0) {
    text += fmt::format("  beyond it    {}\n", share_text(verdict.hot_over));
  }
  return text;
}

std::string gate_text(const Verdict& verdict, const TextLook& look) {
  std::string text = fmt::format("containers     {} finished, {} of them taken out at the gate",
                                 verdict.containers, verdict.removed);
  if (verdict.unfinished > 0) text += fmt::format("; {} never got there", verdict.unfinished);
  text += fmt::format("\nescapes        {}\n", share_text(verdict.escapes));
  if (verdict.escapes.count > 0) {
    text += fmt::format("  not flagged, though a sensor could tell: {}\n",
                        share_text(verdict.escapes_sensed));
    text += fmt::format("  not flagged, and no sensor could tell: {}\n",
                        share_text(verdict.escapes_unsensed));
    text += fmt::format("  flagged but not taken out: {}\n", verdict.escapes_missed_by_gate);
  }
  text += fmt::format("false rejects  {}\n", share_text(verdict.false_rejects));
  std::string causes;
  for (std::size_t i = 1; i < verdict.bad_by_cause.size(); ++i) {
    if (verdict.bad_by_cause[i] == 0) continue;
    causes +=
        fmt::format("{}{} {}", causes.empty() ? "" : ", ", kCauseNames[i], verdict.bad_by_cause[i]);
  }
  if (!causes.empty()) text += "bad, by cause  " + wrapped(causes, 15, look);
  return text;
}

std::string controller_text(const Verdict& verdict, const TextLook& look) {
  std::string text =
      fmt::format("controller     {} shots, {:.1f} g of nitrogen through the valve, alarm: {}\n",
                  verdict.shots, verdict.valve_g, verdict.alarm);
  std::string counted;
  for (const auto& [name, count] : verdict.counters) {
    counted += fmt::format("{}{} {}", counted.empty() ? "" : ", ", name, count);
  }
  if (!counted.empty()) text += "  counted      " + wrapped(counted, 15, look);
  return text;
}

}  // namespace

std::string to_terminal(const Scenario& scenario, const Verdict& verdict, const std::string& repeat,
                        const TextLook& look) {
  std::string text = wrapped(scenario.name + ": " + scenario.title, 2, look);
  text += fmt::format("  {}; {} of line time\n\n", machine(scenario), duration(verdict.end));
  text += headline(verdict, look) + expectation(scenario, verdict, look) + "\n";
  text += places_text(scenario, verdict);
  text += doses_text(verdict) + stops_text(verdict);
  text += findings_text(verdict, look) + "\n";
  text += gate_text(verdict, look) + hot_text(scenario, verdict) + controller_text(verdict, look);
  if (verdict.paced) text += paced_text(*verdict.paced);
  text += fmt::format("\nrepeat: {}\n", repeat);
  text += fmt::format("proof:  digest {:016x} of {} signal changes\n", verdict.digest,
                      verdict.signal_changes);
  text += wrapped(
      "A model proves logic and timing, not a package: the container supplier's rating, local "
      "codes and licensed practice decide. Liquid nitrogen burns, displaces oxygen and can burst "
      "a closed pack.",
      0, look);
  return text;
}

}  // namespace rimebench
