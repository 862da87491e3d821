#include "harness/audit/belt_track.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench {

namespace {

/// A longer silence is a belt that stood, not pulses that were lost: as the controller has it.
constexpr int kLostMost = 3;
/// Glitches come in pairs of edges; more in one period are no glitch.
constexpr std::size_t kExtraMost = 3;
/// Periods on either side that a period is held against.
constexpr std::size_t kNeighbours = 4;
/// A belt's periods change by less than this share from one to the next at working speed.
constexpr double kSame = 0.3;
/// A belt that gains or loses less than this share of its speed in a pulse is off a straight line
/// by an eighth of that share of a pulse.
constexpr double kEven = 0.1;
/// The pulse, its neighbours and theirs: the variance of a period less the mean of the two beside
/// it is five times that of one pulse.
constexpr double kPeriodOverPulse = 2.2360679774997896;

bool same(double a, double b) { return std::abs(a - b) <= kSame * b; }

std::vector<double> differences(const std::vector<double>& values) {
  std::vector<double> periods;
  for (std::size_t i = 1; i < values.size(); ++i) periods.push_back(values[i] - values[i - 1]);
  return periods;
}

/// Median of the periods beside this one, itself left out.
double usual(const std::vector<double>& periods, std::size_t at) {
  std::vector<double> beside;
  const std::size_t first = at > kNeighbours ? at - kNeighbours : 0;
  const std::size_t last = std::min(at + kNeighbours, periods.size() - 1);
  for (std::size_t i = first; i <= last; ++i) {
    if (i != at) beside.push_back(periods[i]);
  }
  return median_of(beside);
}

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto index = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(index),
                   values.end());
  return values[index];
}

}  // namespace

BeltTrack::BeltTrack(const CapturedLine& line, const RecipeValues& recipe)
    : pulsed_(recipe.get(Parameter::kLinePulsePitchUm) > 0) {
  if (!pulsed_) {
    from_permit(line, static_cast<double>(recipe.get(Parameter::kLineSpeedUmPerS)) * 1e-6);
    return;
  }
  std::vector<double> edges;
  for (const SignalChange& change : changes_of(line, Channel::kLinePulse)) {
    if (change.at > line.begin) edges.push_back(static_cast<double>(change.at.us));
  }
  from_pulses(edges, static_cast<double>(recipe.get(Parameter::kLinePulsePitchUm)));
}

/// Short periods that together make one usual one have pulses too many between them. Returns how
/// many from the edge `at` on.
std::size_t BeltTrack::extra_behind(std::size_t at, const std::vector<double>& periods) const {
  if (at >= periods.size()) return 0;
  const double reference = usual(periods, at);
  double sum = 0.0;
  for (std::size_t i = at; i < std::min(at + kExtraMost + 1, periods.size()); ++i) {
    if (periods[i] > (1.0 - 0.5 * kSame) * reference && i > at) return 0;
    sum += periods[i];
    if (std::abs(sum - reference) <= 0.5 * kSame * reference) return i - at;
  }
  return 0;
}

std::vector<double> BeltTrack::without_extra(const std::vector<double>& edges) {
  const std::vector<double> periods = differences(edges);
  std::vector<double> kept;
  for (std::size_t i = 0; i < edges.size(); ++i) {
    kept.push_back(edges[i]);
    const std::size_t extra = periods.size() > kNeighbours ? extra_behind(i, periods) : 0;
    for (std::size_t k = 0; k < extra; ++k) {
      ++audit_.extra;
      audit_.faults.push_back({edges[++i], -1});
    }
  }
  return kept;
}

/// How many pulses are missing in a period; 0 unless the belt ran alike before and after it.
int BeltTrack::lost_in(std::size_t gap, const std::vector<double>& periods) const {
  if (gap == 0 || gap + 1 >= periods.size()) return 0;
  const double reference = usual(periods, gap);
  const bool alike = same(periods[gap - 1], reference) && same(periods[gap + 1], reference);
  const double multiple = periods[gap] / reference;
  const int lost = static_cast<int>(std::lround(multiple)) - 1;
  if (!alike || lost < 1 || lost > kLostMost) return 0;
  return std::abs(multiple - std::round(multiple)) <= kSame ? lost : 0;
}

void BeltTrack::from_pulses(const std::vector<double>& edges, double pitch_um) {
  audit_.pulses = static_cast<std::int64_t>(edges.size());
  const std::vector<double> kept = without_extra(edges);
  const std::vector<double> periods = differences(kept);
  double position = 0.0;
  for (std::size_t i = 0; i < kept.size(); ++i) {
    const int lost = i > 0 && periods.size() > 4 ? lost_in(i - 1, periods) : 0;
    if (lost > 0) {
      audit_.lost += lost;
      audit_.faults.push_back({kept[i - 1], lost});
    }
    for (int k = 1; k <= lost; ++k) {
      times_.push_back(kept[i - 1] + periods[i - 1] * k / (lost + 1));
      positions_.push_back(position + pitch_um * k);
    }
    if (i > 0) position += pitch_um * (lost + 1);
    times_.push_back(kept[i]);
    positions_.push_back(position);
  }
  std::stable_sort(audit_.faults.begin(), audit_.faults.end(),
                   [](const PulseFault& a, const PulseFault& b) { return a.at_us < b.at_us; });
  watch(pitch_um);
}

void BeltTrack::watch(double pitch_um) {
  const std::vector<double> periods = differences(times_);
  std::vector<double> off, speeds;
  for (std::size_t i = 0; i < periods.size(); ++i) {
    if (periods.size() > 4 && periods[i] > (kLostMost + 1.5) * usual(periods, i)) {
      ++audit_.standstills;
      continue;
    }
    speeds.push_back(pitch_um / periods[i]);
    if (i == 0 || i + 1 == periods.size()) continue;
    off.push_back(periods[i] - 0.5 * (periods[i - 1] + periods[i + 1]));
  }
  audit_.jitter_us = robust_sd(off) / kPeriodOverPulse;
  audit_.slowest_um_per_us = quantile(speeds, 0.01);
  audit_.fastest_um_per_us = quantile(speeds, 0.99);
}

void BeltTrack::from_permit(const CapturedLine& line, double um_per_us) {
  audit_.slowest_um_per_us = audit_.fastest_um_per_us = um_per_us;
  double position = 0.0;
  bool running = !line.has(Channel::kRunPermit);
  const auto knot = [&](double at) {
    if (!times_.empty() && running) position += (at - times_.back()) * um_per_us;
    times_.push_back(at);
    positions_.push_back(position);
  };
  knot(static_cast<double>(line.begin.us));
  for (const SignalChange& change : changes_of(line, Channel::kRunPermit)) {
    if (change.at > line.begin) knot(static_cast<double>(change.at.us));
    running = change.value != 0;
  }
  knot(static_cast<double>(line.end.us) + 1.0);
}

std::optional<double> BeltTrack::position(double at_us) const {
  if (times_.size() < 2) return std::nullopt;
  auto after = std::upper_bound(times_.begin(), times_.end(), at_us);
  if (after == times_.begin()) ++after;
  if (after == times_.end()) --after;
  const auto i = static_cast<std::size_t>(after - times_.begin());
  const double period = times_[i] - times_[i - 1];
  const double part = (at_us - times_[i - 1]) / period;
  if (part < -1.0 || part > 2.0) return std::nullopt;
  return positions_[i - 1] + part * (positions_[i] - positions_[i - 1]);
}

std::optional<double> BeltTrack::time_at(double position_um) const {
  if (times_.size() < 2) return std::nullopt;
  auto after = std::upper_bound(positions_.begin(), positions_.end(), position_um);
  if (after == positions_.begin()) ++after;
  if (after == positions_.end()) --after;
  const auto i = static_cast<std::size_t>(after - positions_.begin());
  const double step = positions_[i] - positions_[i - 1];
  if (step <= 0.0) return std::nullopt;
  const double part = (position_um - positions_[i - 1]) / step;
  if (part < -1.0 || part > 2.0) return std::nullopt;
  return times_[i - 1] + part * (times_[i] - times_[i - 1]);
}

bool BeltTrack::steady(double at_us) const {
  if (!pulsed_) return true;
  const auto after = std::upper_bound(times_.begin(), times_.end(), at_us);
  const auto i = static_cast<std::size_t>(after - times_.begin());
  if (i < 2 || i + 1 >= times_.size()) return false;
  const double period = times_[i] - times_[i - 1];
  const auto even = [&](double other) { return std::abs(other - period) <= kEven * period; };
  return even(times_[i - 1] - times_[i - 2]) && even(times_[i + 1] - times_[i]);
}

std::optional<double> BeltTrack::speed(double at_us) const {
  if (!position(at_us)) return std::nullopt;
  const auto after = std::upper_bound(times_.begin(), times_.end(), at_us);
  const auto i = static_cast<std::size_t>(after - times_.begin());
  const std::size_t reach = pulsed_ ? 2 : 1;
  const std::size_t first = i > reach ? i - reach : 0;
  const std::size_t last = std::min(i + reach - 1, times_.size() - 1);
  const std::size_t from = std::min(first, last - 1);
  return (positions_[last] - positions_[from]) / (times_[last] - times_[from]);
}

}  // namespace rimebench
