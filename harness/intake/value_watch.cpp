#include "harness/intake/value_watch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace rimebench {

namespace {

constexpr double kStuckS = 600.0;
constexpr std::int64_t kMovesLeast = 50;
constexpr std::size_t kValues = 200;
constexpr std::size_t kValuesLeast = 5;
constexpr std::int64_t kRowsPerValue = 20;

/// The step that all values are apart by; 0 if there is none.
double step_of(const std::set<double>& values) {
  std::vector<double> steps;
  for (auto at = std::next(values.begin()); at != values.end(); ++at) {
    steps.push_back(*at - *std::prev(at));
  }
  const double step = *std::min_element(steps.begin(), steps.end());
  const bool even = std::all_of(steps.begin(), steps.end(), [&](double apart) {
    return std::abs(apart / step - std::round(apart / step)) < 1e-3;
  });
  return even ? step : 0.0;
}

}  // namespace

ValueWatch::ValueWatch(const Choices& choices, bool holds)
    : stuck_s_(choices.number(Choice::kStuckS).value_or(kStuckS)), holds_(holds) {}

void ValueWatch::end_stand() {
  const double lasted = static_cast<double>(last_us_ - stand_.from_us) * 1e-6;
  if (stand_.value == 0.0 || lasted < stuck_s_) return;
  if (stands_++ == 0) first_long_ = stand_;
  longest_s_ = std::max(longest_s_, lasted);
}

void ValueWatch::see(std::int64_t us, double value, std::int64_t line) {
  const bool first = stand_.line == 0;
  if (first || value != stand_.value) {
    if (!first) end_stand();
    ++moves_;
    stand_ = {line, us, value};
    if (values_.size() <= kValues) values_.insert(value);
  }
  last_us_ = us;
}

void ValueWatch::finish(SpeedIntake& result) {
  end_stand();
  if (!holds_ && stands_ > 0 && moves_ >= kMovesLeast) {
    result.notes.push_back(fmt::format(
        "the speed does not move at all for {:.0f} min and more, {} times, first from line {} "
        "({:g} a minute), though it moves elsewhere: the log may have been stuck",
        longest_s_ / 60.0, stands_, first_long_.line, first_long_.value));
  }
  if (values_.size() < kValuesLeast || values_.size() > kValues ||
      result.rows < kRowsPerValue * static_cast<std::int64_t>(values_.size())) {
    return;
  }
  if (const double step = step_of(values_); step > 0.0) {
    result.notes.push_back(
        fmt::format("the speeds come in steps of {:g} a minute: the instrument is coarse", step));
  }
}

}  // namespace rimebench
