#include "harness/campaign/figures.hpp"

#include <fmt/format.h>

#include <cmath>

#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

constexpr double kHectopascalsPerKpa = 10.0;

std::int64_t to_100_pa(double kpa) { return 100 * std::llround(kpa * kHectopascalsPerKpa); }

}  // namespace

void NumberRanges::add(std::int64_t number) {
  if (cut_) return;
  if (ranges_ > 0 && number == last_ + 1) {
    last_ = number;
    return;
  }
  if (ranges_ == kRangesMax) {
    cut_ = true;
    return;
  }
  if (ranges_++ > 0) close(text_);
  first_ = last_ = number;
}

void NumberRanges::close(std::string& text) const {
  text += text.empty() ? "" : ", ";
  text += first_ == last_ ? std::to_string(first_) : fmt::format("{}-{}", first_, last_);
}

std::string NumberRanges::text() const {
  if (ranges_ == 0) return "none";
  std::string text = text_;
  close(text);
  return cut_ ? text + ", ..." : text;
}

RunFigures figures_of(const Verdict& verdict, const NumberRanges& taken_out,
                      const NumberRanges& escaped) {
  RunFigures figures;
  figures.verdict = to_text(verdict.outcome);
  figures.digest = fmt::format("{:016x}", verdict.digest);
  if (!verdict.faults.empty()) figures.faults.clear();
  for (const std::string& fault : verdict.faults) {
    figures.faults += (figures.faults.empty() ? "" : " ") + fault;
  }
  figures.taken_out = taken_out.text();
  figures.escaped = escaped.text();
  figures.signal_changes = static_cast<std::int64_t>(verdict.signal_changes);
  figures.end_us = verdict.end.us;
  figures.containers = verdict.containers;
  figures.removed = verdict.removed;
  figures.false_rejects = verdict.false_rejects.count;
  figures.escapes_sensed = verdict.escapes_sensed.count;
  figures.escapes_unsensed = verdict.escapes_unsensed.count;
  figures.escapes_missed_by_gate = verdict.escapes_missed_by_gate;
  figures.undosed = verdict.undosed;
  figures.double_dosed = verdict.double_dosed;
  figures.unfinished = verdict.unfinished;
  figures.shots = verdict.shots;
  for (const auto& [place, kpa] : verdict.places) {
    figures.places[place] = {kpa.containers, to_100_pa(kpa.mean_kpa), to_100_pa(kpa.least_kpa),
                             to_100_pa(kpa.most_kpa)};
  }
  return figures;
}

}  // namespace rimebench
