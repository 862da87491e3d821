#include "harness/judge/verdict_text.hpp"

#include <fmt/format.h>

#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

constexpr double kKpaPerPsi = 6.894757293168;
constexpr double kMicros = 1e6;

std::string seconds(Instant at) {
  return fmt::format("{:.3f} s", static_cast<double>(at.us) / kMicros);
}

std::string duration(Instant at) {
  const std::int64_t whole = at.us / kMicrosPerSecond;
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

std::string figure(double value, const Finding& finding) {
  std::string text = fmt::format("{:.{}f} {}", value, finding.decimals, finding.unit);
  if (finding.unit == "kPa") text += fmt::format(" ({:.1f} psi)", value / kKpaPerPsi);
  return text;
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

std::string headline(const Verdict& verdict) {
  switch (verdict.outcome) {
    case Outcome::kPass:
      return "PASS  every expectation is met\n";
    case Outcome::kFail:
      return fmt::format("FAIL  {}\n", verdict.reason);
    case Outcome::kInconclusive:
      return fmt::format("INCONCLUSIVE  {}\n", verdict.reason);
  }
  return {};
}

/// A scenario may be there to fail; then say so, or the reader hunts a fault that was planted.
std::string expectation(const Scenario& scenario, const Verdict& verdict) {
  const bool as_expected = scenario.expect_verdict == verdict.outcome;
  if (scenario.expect_verdict == Outcome::kPass) return {};
  return fmt::format("      {} the scenario expects {}: {}\n", as_expected ? "as" : "BUT",
                     to_text(scenario.expect_verdict), scenario.because);
}

std::string findings_text(const Verdict& verdict) {
  std::string text = "expectations\n";
  for (const Finding& finding : verdict.findings) {
    const char* mark = finding.outcome == Outcome::kPass   ? "ok  "
                       : finding.outcome == Outcome::kFail ? "FAIL"
                                                           : "?   ";
    text += fmt::format("  {}  {:<28} measured {:<22} allowed {}\n", mark, finding.name,
                        figure(finding.measured, finding), figure(finding.allowed, finding));
    if (finding.outcome == Outcome::kFail && finding.first_container > 0) {
      text += fmt::format("        first: container {}, place {}, at {}; {} in all\n",
                          finding.first_container, finding.first_place, seconds(finding.first_at),
                          finding.breaches);
    }
  }
  return text;
}

std::string places_text(const Scenario& scenario, const Verdict& verdict) {
  if (verdict.places.empty()) return {};
  const ContainerLimits& limits = scenario.plant.limits;
  std::string text = fmt::format(
      "sealed pressure at {:.0f} C, gas settled, on the good side of the gate\n", limits.judge_c);
  text += "  place  containers      mean kPa (psi)    spread   least    most\n";
  for (const auto& [number, place] : verdict.places) {
    const double least_allowed = static_cast<double>(limits.equilibrium_pa_min) / 1000.0;
    const double most_allowed = static_cast<double>(limits.equilibrium_pa_max) / 1000.0;
    const char* note = place.mean_kpa < least_allowed  ? "  soft"
                       : place.mean_kpa > most_allowed ? "  too hard"
                                                       : "";
    text += fmt::format("  {:>5}  {:>10}   {:>9.1f} ({:>4.1f})   {:>7.1f} {:>7.1f} {:>7.1f}{}\n",
                        number, place.containers, place.mean_kpa, place.mean_kpa / kKpaPerPsi,
                        place.sd_kpa, place.least_kpa, place.most_kpa, note);
  }
  return text;
}

std::string share_text(const Share& share) {
  return fmt::format("{} of {} ({:.3f} %, 95 % sure between {:.3f} and {:.3f} %)", share.count,
                     share.of, share.percent, share.low_percent, share.high_percent);
}

std::string gate_text(const Verdict& verdict) {
  std::string text =
      fmt::format("containers  {} finished, {} taken out at the gate, {} unfinished\n",
                  verdict.containers, verdict.removed, verdict.unfinished);
  text += fmt::format("  escapes        {}\n", share_text(verdict.escapes));
  if (verdict.escapes.count > 0) {
    text += fmt::format(
        "                 {} not flagged ({} of them no sensor could tell), {} flagged but not "
        "taken out\n",
        verdict.escapes_unflagged, verdict.escapes_unseeable, verdict.escapes_missed_by_gate);
  }
  text += fmt::format("  false rejects  {}\n", share_text(verdict.false_rejects));
  std::string causes;
  for (std::size_t i = 1; i < verdict.bad_by_cause.size(); ++i) {
    if (verdict.bad_by_cause[i] > 0) {
      causes += fmt::format("  {} {}", kCauseNames[i], verdict.bad_by_cause[i]);
    }
  }
  if (!causes.empty()) text += "  bad by cause  " + causes + "\n";
  return text;
}

std::string controller_text(const Verdict& verdict) {
  std::string text =
      fmt::format("controller  {} shots, {:.1f} g of nitrogen into containers, alarm: {}\n",
                  verdict.shots, verdict.nozzle_g, verdict.alarm);
  if (verdict.counters.empty()) return text;
  text += "  counted     ";
  for (const auto& [name, count] : verdict.counters) text += fmt::format("  {} {}", name, count);
  return text + "\n";
}

}  // namespace

std::string to_terminal(const Scenario& scenario, const Verdict& verdict,
                        const std::string& repeat) {
  std::string text = fmt::format("{}: {}\n", scenario.name, scenario.title);
  text += fmt::format("  {}; {} of running, {} signal changes\n\n", machine(scenario),
                      duration(verdict.end), verdict.signal_changes);
  text += headline(verdict) + expectation(scenario, verdict) + "\n";
  text += places_text(scenario, verdict) + "\n";
  text += findings_text(verdict) + "\n";
  text += gate_text(verdict) + controller_text(verdict);
  text += fmt::format("\nrepeat: {}   # digest {:016x}\n", repeat, verdict.digest);
  text +=
      "A model proves logic and timing, not a package: the container supplier's rating, local "
      "codes and\n"
      "licensed practice decide. Liquid nitrogen burns, displaces oxygen and can burst a closed "
      "pack.\n";
  return text;
}

}  // namespace rimebench
