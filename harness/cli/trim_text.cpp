#include "harness/cli/trim_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plant_model/spec/ledger.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerPsi = 6894.757293168;
constexpr int kRoundMin = 12;
/// What a sheet of paper holds; the rest is another round's.
constexpr int kRoundMax = 48;

std::string pressure(double pascal) {
  if (pascal >= static_cast<double>(kLiquidFullPa)) return "  liquid-full ";
  return fmt::format("{:>6.1f} ({:>5.1f})", pascal / 1000.0, pascal / kPaPerPsi);
}

std::string in_line(double pascal) {
  return fmt::format("{:.0f} kPa ({:.1f} psi)", pascal / 1000.0, pascal / kPaPerPsi);
}

std::string estimate_row(const char* name, double in_use, const Estimate& e, int decimals) {
  return fmt::format("  {:<34}{:>8.{}f}  {:>8.{}f}   {:.{}f} .. {:.{}f}\n", name, in_use, decimals,
                     e.value, decimals, e.low, decimals, e.high, decimals);
}

std::string constants_text(const TrimReport& report) {
  const BoilOffSpec& line = report.scenario.plant.line.boil_off;
  std::string text = fmt::format("{:<36}{:>8}  {:>8}   {:g} % sure between\n", "", "in use",
                                 "fitted", 100.0 * report.goal.confidence);
  text += estimate_row(fmt::format("boil-off tau at {:.0f} mg, s", line.reference_mg).c_str(),
                       line.tau_belt_s, report.fit.tau_s, 2);
  text += estimate_row("boil-off exponent", line.exponent, report.fit.exponent, 2);
  text += estimate_row("valve, real over calibrated dose", 1.0, report.fit.valve_bias, 3);
  if (!report.proposal.places.empty()) {
    text += estimate_row("ramp, last place over first, %", report.proposal.ramp_in_use_percent,
                         report.proposal.ramp_percent, 1);
  }
  if (report.fit.exponent_held) text += "  the exponent is held: the best lay outside 0..1\n";
  if (report.fit.one_wait) {
    text +=
        "  all packs waited alike: valve and boil-off cannot be told apart, only what comes of "
        "both\n";
  }
  return text;
}

std::string packs_text(const TrimReport& report) {
  std::string text = fmt::format(
      "packs, worked back\n  line place  open ms  read kPa   (psi)  taken up  expected   "
      "(psi)  sealed mg  settled at {:.0f} C\n",
      report.scenario.plant.limits.judge_c);
  for (std::size_t i = 0; i < report.readings.size(); ++i) {
    const PackReading& reading = report.readings[i];
    const TrimPack& pack = report.fit.packs[i];
    const std::string uptake = reading.shaken ? "all"
                                              : fmt::format("{:.0f} %{}", 100.0 * pack.uptake,
                                                            pack.uptake_known ? "" : " ?");
    text +=
        fmt::format("  {:>4} {:>5}  {:>7.2f}    {}  {:>8}    {}  {:>9.1f}    {}{}\n",
                    report.lines[i], reading.place, reading.open_us / 1e3,
                    pressure(reading.gauge_Pa), uptake, pressure(pack.expected_Pa), pack.sealed_mg,
                    pressure(pack.equilibrium_Pa), pack.outlier ? "  outlier" : "");
  }
  return text;
}

std::string unshaken_text(const TrimReport& report) {
  const auto unshaken = std::count_if(report.readings.begin(), report.readings.end(),
                                      [](const PackReading& reading) { return !reading.shaken; });
  if (unshaken == 0) return {};
  return fmt::format(
      "  {} not shaken: what the drink had taken up is one more unknown of the fit\n", unshaken);
}

std::string places_text(const TrimReport& report) {
  std::string text =
      "places\n"
      "         wait, s            mean in use          next dose  open ms, next  next mean  hot "
      "and prompt, kPa\n"
      "  place  expected shortest  kPa (psi)                   mg  (in use)       sure to +-  "
      "expected shortest wait\n";
  for (const TrimPlace& p : report.proposal.places) {
    const double half = 0.5 * (p.in_use_Pa.high - p.in_use_Pa.low);
    text += fmt::format(
        "  {:>5}  {:>8.2f} {:>8.2f}  {} +-{:<4.1f}  {:>8.1f}  {:>6.2f} ({:.2f})  {:>6.1f} kPa  "
        "{:>8.0f} {:>13.0f}\n",
        p.place, p.wait_s, p.shortest_wait_s, pressure(p.in_use_Pa.value), half / 1000.0,
        p.dose_ug / 1000.0, p.open_us / 1e3, p.open_us_in_use / 1e3, p.next_half_Pa / 1000.0,
        p.hot_prompt_Pa / 1000.0, p.shortest_hot_Pa / 1000.0);
  }
  const ContainerLimits& limits = report.scenario.plant.limits;
  return text + fmt::format("  hot is {:.0f} C; allowed there {}\n", limits.hot_c,
                            in_line(static_cast<double>(limits.hot_prompt_pa_max)));
}

std::string more_text(const TrimReport& report) {
  const int more = report.proposal.more_packs;
  const std::string within = in_line(report.goal.within_Pa);
  if (more == 0) return fmt::format("more packs  none: every mean is known within {}\n", within);
  if (more < 0) {
    return fmt::format(
        "more packs  over 1000 for every mean within {}: packs that scatter less, or are shaken, "
        "are needed\n",
        within);
  }
  return fmt::format("more packs  {} for every mean within {}, if they scatter alike\n", more,
                     within);
}

std::string verdict_text(const TrimReport& report) {
  std::string text;
  for (const std::string& refusal : report.proposal.refusals) {
    text += "REFUSED  " + refusal + "\n";
  }
  if (trial_required(report.scenario)) {
    text += "TRIAL REQUIRED  this drink foams: every pressure here is indicative\n";
  }
  return text.empty() ? "the next recipe passes the hot and the shortest-wait check\n" : text;
}

}  // namespace

bool trial_required(const Scenario& scenario) { return foams(scenario.plant.product); }

std::string trim_text(const TrimReport& report) {
  std::string text = fmt::format(
      "trim of {}: {} packs\n  target {} at {:.0f} C, gas settled\n\n", report.scenario.name,
      report.readings.size(), in_line(report.goal.target_Pa), report.scenario.plant.limits.judge_c);
  text += constants_text(report) + "\n" + packs_text(report) + unshaken_text(report) + "\n";
  if (!report.proposal.places.empty()) {
    text += places_text(report) + "\n" + more_text(report);
  }
  return text + verdict_text(report);
}

std::string sampling_sheet(const TrimReport& report) {
  const auto places = static_cast<int>(report.proposal.places.size());
  const int wanted = std::clamp(report.proposal.more_packs, kRoundMin, kRoundMax);
  const int each = (wanted + places - 1) / places;
  std::string text = fmt::format(
      "\nSAMPLING SHEET  {}: {}\n  recipe: the next one above. Temper the packs, shake until the "
      "reading would not change, weigh, pierce.\n  Write what the gauge shows; correct nothing. "
      "dead_ml is the gauge with its tube.\n\n"
      "  pack  place  open_us  gauge_kpa   pack_c  minutes  shaken  dead_ml  fill_g   by\n",
      report.scenario.name, report.scenario.title);
  for (int i = 0; i < each * places; ++i) {
    const TrimPlace& p = report.proposal.places[static_cast<std::size_t>(i % places)];
    text += fmt::format(
        "  {:>4}  {:>5}  {:>7.0f}  _________  _______  _______  ______  _______  _______  ____\n",
        i + 1, p.place, p.open_us);
  }
  return text +
         "\n  taken by ____________________  date __________   checked by ____________________\n"
         "  A full pack is pierced behind a shield. The supplier's rating and licensed practice "
         "decide.\n";
}

}  // namespace rimebench
