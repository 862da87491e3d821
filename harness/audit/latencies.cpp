#include "harness/audit/latencies.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace rimebench {

namespace {

/// A valve that answers later than this answers something else.
constexpr double kAnswerMaxUs = 150'000.0;
constexpr std::size_t kContainersMin = 10;
constexpr double kSpeedRangeMin = 0.05;
/// A wider interval says nothing that the parameter's own range does not.
constexpr double kIntervalMaxUs = 10'000.0;
constexpr std::size_t kUnknowns = 3;
/// More containers than this make the interval no narrower than anything else allows.
constexpr std::size_t kFitMost = 20'000;

/// The first edge of this value after `from`, if it comes in time.
std::optional<double> answer(const std::vector<SignalChange>& wire, double from, bool high) {
  const auto later_than = [](double at, const SignalChange& change) {
    return at < static_cast<double>(change.at.us);
  };
  for (auto edge = std::upper_bound(wire.begin(), wire.end(), from, later_than);
       edge != wire.end() && static_cast<double>(edge->at.us) <= from + kAnswerMaxUs; ++edge) {
    if ((edge->value != 0) == high) return static_cast<double>(edge->at.us) - from;
  }
  return std::nullopt;
}

struct LatticePoint {
  double position_um{};
  double number{};
  double speed{};
};

/// Numbers the places of the filler that the containers came from; empty ones count too.
std::vector<LatticePoint> on_lattice(const std::vector<SeenContainer>& containers,
                                     const FillerSpec& filler) {
  const bool groups = filler.kind == FillerKind::kInline && filler.heads > 1;
  const auto pitch = static_cast<double>(groups ? filler.group_pitch_um : filler.pitch_um);
  const double head = groups ? static_cast<double>(filler.head_pitch_um) : 0.0;
  const double group_gap = 0.5 * (pitch - head * (filler.heads - 2));
  std::vector<LatticePoint> points;
  double number = 0.0, begin = 0.0, last = 0.0;
  for (const SeenContainer& seen : containers) {
    const bool first = &seen == &containers.front();
    if (first || !groups || seen.edge_um - last > group_gap) {
      if (!first) number += std::round((seen.edge_um - begin) / pitch);
      begin = seen.edge_um;
    }
    last = seen.edge_um;
    const double in_group = groups ? std::round((seen.edge_um - begin) / head) * head : 0.0;
    if (seen.steady) points.push_back({seen.edge_um - in_group, number, seen.speed_um_per_us});
  }
  return points;
}

/// Start, pitch and latency by least squares, each about its centre so that the numbers are tame.
std::optional<Fit> fit_lattice(const std::vector<LatticePoint>& points, double pitch_um) {
  LatticePoint centre;
  for (const LatticePoint& p : points) {
    const auto n = static_cast<double>(points.size());
    centre.position_um += p.position_um / n;
    centre.number += p.number / n;
    centre.speed += p.speed / n;
  }
  const std::array<Unknown, kUnknowns> unknowns{
      {{0.0, 1000.0}, {pitch_um, 1e-3 * pitch_um}, {0.0, 1000.0}}};
  const auto residuals = [&](std::span<const double> u, std::span<double> r) {
    for (std::size_t i = 0; i < points.size(); ++i) {
      const LatticePoint& p = points[i];
      r[i] = p.position_um - centre.position_um - u[0] - u[1] * (p.number - centre.number) -
             u[2] * (p.speed - centre.speed);
    }
  };
  return fit_model(residuals, unknowns, points.size());
}

bool speed_varies(const std::vector<LatticePoint>& points) {
  std::vector<double> speeds;
  for (const LatticePoint& p : points) speeds.push_back(p.speed);
  const auto [slow, fast] = std::minmax_element(speeds.begin(), speeds.end());
  return *fast > (1.0 + kSpeedRangeMin) * *slow;
}

}  // namespace

std::optional<ValveLatency> fit_valve_latency(const CapturedLine& line, const LineSpec& spec) {
  ValveLatency result;
  result.wire = Channel::kValveActual;
  std::vector<SignalChange> wire = changes_of(line, result.wire);
  if (wire.empty()) {
    result.wire = Channel::kValveFeedback;
    result.taken_off_us = spec.valve.feedback_delay_us;
    wire = changes_of(line, result.wire);
  }
  if (wire.empty()) return std::nullopt;
  std::vector<double> opens, closes;
  for (const Pulse& shot : pulses_of(line, Channel::kValve)) {
    const auto opened = answer(wire, shot.from_us, true);
    const auto closed = answer(wire, shot.to_us, false);
    if (!opened || !closed) ++result.no_answer;
    if (opened) opens.push_back(*opened - static_cast<double>(result.taken_off_us));
    if (closed) closes.push_back(*closed - static_cast<double>(result.taken_off_us));
  }
  result.open_us = measure(opens, 1.0);
  result.close_us = measure(closes, 1.0);
  return result;
}

std::optional<SensorLatency> fit_sensor_latency(const std::vector<SeenContainer>& containers,
                                                const LineSpec& spec, double recipe_pitch_um) {
  if (containers.size() < kContainersMin) return std::nullopt;
  std::vector<LatticePoint> points = on_lattice(containers, spec.filler);
  if (points.size() > kFitMost) points.resize(kFitMost);
  if (points.size() < kContainersMin || !speed_varies(points)) return std::nullopt;
  const bool groups = spec.filler.kind == FillerKind::kInline;
  const auto pitch =
      static_cast<double>(groups ? spec.filler.group_pitch_um : spec.filler.pitch_um);
  SensorLatency result;
  result.containers = static_cast<std::int64_t>(points.size());
  auto fit = fit_lattice(points, pitch);
  if (!fit) return std::nullopt;
  const std::vector<bool> out = outlying(fit->residuals, 1.0);
  std::vector<LatticePoint> kept;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!out[i]) kept.push_back(points[i]);
  }
  result.outliers = result.containers - static_cast<std::int64_t>(kept.size());
  if (result.outliers > 0) fit = fit_lattice(kept, pitch);
  if (!fit) return std::nullopt;
  result.residual_um = fit->residual_sd();
  result.latency_us = fit->estimate(2, kAuditConfidence);
  if (result.latency_us.high - result.latency_us.low > kIntervalMaxUs) return std::nullopt;
  // The belt was measured in the recipe's pulses: a pitch seen too short means pulses too short.
  const Estimate seen = fit->estimate(1, kAuditConfidence);
  const auto pulse = [&](double um) { return recipe_pitch_um * pitch / um; };
  result.pulse_pitch_um = {pulse(seen.value), seen.sd * recipe_pitch_um / pitch, pulse(seen.high),
                           pulse(seen.low)};
  return result;
}

}  // namespace rimebench
