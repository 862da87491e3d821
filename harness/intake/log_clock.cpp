#include "harness/intake/log_clock.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace rimebench {

namespace {

constexpr std::int64_t kHourUs = 3'600'000'000;
constexpr int kRepeats = 0;
constexpr int kSkips = 1;

}  // namespace

LogClock::LogClock(const LogForm& form, const Choices& choices, std::vector<Question>& questions)
    : local_(form.time_form == TimeForm::kCalendar),
      clock_only_(form.time_form == TimeForm::kElapsedClock),
      change_(choices.word(Choice::kClockChange)),
      slack_us_(std::max<std::int64_t>(2'000'000, std::llround(form.interval_s * 3e6))),
      questions_(questions) {}

bool LogClock::about_an_hour(std::int64_t us) const { return std::abs(us - kHourUs) <= slack_us_; }

void LogClock::ask(const char* why, std::int64_t line) {
  const bool asked = std::any_of(questions_.begin(), questions_.end(), [](const Question& q) {
    return q.choice == Choice::kClockChange;
  });
  if (!asked) questions_.push_back({Choice::kClockChange, why, line});
}

LogClock::Step LogClock::go(Step step, std::int64_t us) {
  started_ = true;
  now_us_ = us;
  return step;
}

LogClock::Step LogClock::step(std::int64_t stamp_us, std::int64_t line) {
  const std::int64_t us = stamp_us + offset_us_;
  if (!started_) return go(Step::kFirst, us);
  const std::int64_t ahead = us - now_us_;
  if (ahead == 0) return Step::kSame;
  if (ahead > 0) {
    if (!local_ || !about_an_hour(ahead) || slack_us_ >= kHourUs / 2) return go(Step::kOn, us);
    if (!change_) ask("an hour is missing: a gap, or the clock was set forward", line);
    if (change_ != kSkips) return go(Step::kOn, us);
    offset_us_ -= kHourUs;
    return go(Step::kClockForward, std::max(us - kHourUs, now_us_ + 1));
  }
  if (clock_only_ && -ahead > 12 * kHourUs) {
    offset_us_ += 24 * kHourUs;
    return go(Step::kMidnight, us + 24 * kHourUs);
  }
  if (!local_ || !about_an_hour(-ahead)) return Step::kBack;
  if (!change_)
    ask("the times go back an hour: rows out of order, or the clock was set back", line);
  if (change_ != kRepeats) return Step::kBack;
  offset_us_ += kHourUs;
  return go(Step::kClockBack, std::max(us + kHourUs, now_us_ + 1));
}

}  // namespace rimebench
