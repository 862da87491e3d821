#include "harness/judge/finding_text.hpp"

#include <fmt/format.h>

#include <utility>

#include "firmware_sim/contract/fault_table.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kMicros = 1e6;

const char* bound_words(Bound bound) {
  switch (bound) {
    case Bound::kAtLeast:
      return "at least ";
    case Bound::kAtMost:
      return "at most ";
    case Bound::kEquals:
      return "";
  }
  return "";
}

const char* demand_words(Bound bound) {
  switch (bound) {
    case Bound::kAtLeast:
      return "needed";
    case Bound::kAtMost:
      return "allowed";
    case Bound::kEquals:
      return "expected";
  }
  return "";
}

}  // namespace

std::string figure_text(const Finding& finding, double value) {
  if (finding.unit == "fault") {
    const char* const name = fault_name(static_cast<std::int32_t>(value));
    return name != nullptr ? name : "unknown";
  }
  if (finding.unit != "kPa") {
    return fmt::format("{:.{}f} {}", value, finding.decimals, finding.unit);
  }
  if (value * kPaPerKpa >= static_cast<double>(kLiquidFullPa)) return "liquid-full";
  return fmt::format("{:.{}f} kPa ({:.1f} psi)", value, finding.decimals, value / kKpaPerPsi);
}

std::string measured_text(const Finding& finding) {
  if (finding.outcome == Outcome::kInconclusive) return "nothing measured";
  return figure_text(finding, finding.measured);
}

std::string limit_text(const Finding& finding) {
  return bound_words(finding.bound) + figure_text(finding, finding.allowed);
}

std::string breach_text(const Finding& finding) {
  std::string text;
  if (finding.looked_at > 0) text = fmt::format("{} of {}", finding.breaches, finding.looked_at);
  if (!finding.first) return text;
  const Breach& first = *finding.first;
  if (!text.empty()) text += "; ";
  text += fmt::format("first at {:.3f} s", static_cast<double>(first.at.us) / kMicros);
  const char* joint = ": ";
  const auto add = [&](const std::string& part) { text += std::exchange(joint, ", ") + part; };
  if (first.container > 0) {
    add(fmt::format("container {}, place {}", first.container, first.place));
  }
  if (first.measured) add(figure_text(finding, *first.measured));
  if (first.cause != Cause::kNone) {
    add(fmt::format("cause {}", kCauseNames[static_cast<std::size_t>(first.cause)]));
  }
  return text;
}

std::string reason_text(const Finding& finding) {
  if (finding.outcome == Outcome::kInconclusive) {
    return finding.words + ": nothing was measured, so nothing is shown";
  }
  std::string more = breach_text(finding);
  if (!finding.note.empty()) more += (more.empty() ? "" : "; ") + finding.note;
  return fmt::format("{} {}, {} {}{}{}", finding.words, figure_text(finding, finding.measured),
                     limit_text(finding), demand_words(finding.bound), more.empty() ? "" : "; ",
                     more);
}

}  // namespace rimebench
