#include "harness/intake/profile_builder.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace rimebench {

namespace {

/// A belt takes time to change its speed: a step of the log is drawn over this, or half its row.
constexpr std::int64_t kStepUs = 100'000;
constexpr double kGapLeastS = 5.0;
constexpr double kGapRows = 10.0;

}  // namespace

ProfileBuilder::ProfileBuilder(const LogForm& form, const Choices& choices, SpeedIntake& result,
                               const KnotSink& sink)
    : form_(form),
      result_(result),
      thinner_(choices.number(Choice::kTolerancePerMin).value_or(0.0), sink),
      gap_s_(
          choices.number(Choice::kGapS).value_or(std::max(kGapLeastS, kGapRows * form.interval_s))),
      gap_(static_cast<Gap>(choices.word(Choice::kGap).value_or(0))) {
  if (!form.hold && !choices.number(Choice::kGapS)) {
    result.form.decisions.push_back(
        {Choice::kGapS, fmt::format("{:g}", gap_s_), "ten rows, at least 5 s"});
  }
}

void ProfileBuilder::knot(std::int64_t us, double per_min) {
  thinner_.add({Instant{us}, per_min});
  if (any_ && us > knot_us_) {
    const double from = static_cast<double>(knot_us_) * 1e-6;
    const double until = static_cast<double>(us) * 1e-6;
    result_.plot.add(from, until, knot_, per_min);
    result_.containers += 0.5 * (knot_ + per_min) * (until - from) / 60.0;
    if (knot_ == 0.0 && per_min == 0.0) result_.stopped_s += until - from;
  }
  result_.least_per_min = any_ ? std::min(result_.least_per_min, per_min) : per_min;
  result_.most_per_min = any_ ? std::max(result_.most_per_min, per_min) : per_min;
  any_ = true;
  knot_us_ = us;
  knot_ = per_min;
}

/// The knots between the last row and one at `us`.
void ProfileBuilder::bridge(std::int64_t us, Gap how) {
  const std::int64_t step = std::min(kStepUs, (us - last_us_) / 3);
  if (how == Gap::kStraight || step == 0) return;
  if (how == Gap::kStopped) knot(last_us_ + step, 0.0);
  knot(us - step, how == Gap::kStopped ? 0.0 : last_);
}

void ProfileBuilder::count_gap(std::int64_t us, std::int64_t line) {
  if (gaps_++ == 0) gap_line_ = line;
  gaps_s_ += static_cast<double>(us - last_us_) * 1e-6;
}

void ProfileBuilder::take(std::int64_t us, double per_min, std::int64_t line) {
  if (!any_) {
    knot(us, per_min);
  } else if (is_count(form_.unit)) {
    // The mean since the last total held from then on.
    const std::int64_t step = std::min(kStepUs, (us - last_us_) / 3);
    if (step > 0) knot(last_us_ + step, per_min);
    knot(us, per_min);
  } else {
    const bool gap = !form_.hold && static_cast<double>(us - last_us_) * 1e-6 > gap_s_;
    if (gap) count_gap(us, line);
    bridge(us, gap ? gap_ : form_.hold ? Gap::kHold : Gap::kStraight);
    knot(us, per_min);
  }
  last_us_ = us;
  last_ = per_min;
}

void ProfileBuilder::finish() {
  thinner_.finish();
  result_.knots = thinner_.kept();
  result_.length_s = static_cast<double>(last_us_) * 1e-6;
  result_.mean_per_min = result_.containers * 60.0 / result_.length_s;
  if (gaps_ == 0) return;
  constexpr const char* kHow[] = {"the speed before is held", "bridged by a straight line",
                                  "the line counts as stopped"};
  result_.form.decisions.push_back(
      {Choice::kGap, words_of(row_of(Choice::kGap))[static_cast<std::size_t>(gap_)],
       fmt::format("gaps: {}, {:.0f} s in all, the first before line {}: {}", gaps_, gaps_s_,
                   gap_line_, kHow[static_cast<std::size_t>(gap_)])});
}

}  // namespace rimebench
