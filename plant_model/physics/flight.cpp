#include "plant_model/physics/flight.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {
namespace {

/// Angle at the centre of the circle of radius `own` to a crossing of the two circles.
double crossing_angle(double own, double other, double distance) {
  const double cosine = (distance * distance + own * own - other * other) / (2.0 * distance * own);
  return std::acos(std::clamp(cosine, -1.0, 1.0));
}

/// Share of one element of the streak that passes every plane.
double element_share(const Streak& streak, double along_m, std::span<const Plane> planes,
                     double rim_splash) {
  double share = 1.0;
  for (const Plane& plane : planes) {
    const double distance = std::hypot(along_m + plane.along_shift_m, streak.lateral_m);
    share = std::min(share, jet_share(streak.jet_radius_m, plane.radius_m, distance));
  }
  return share < 1.0 ? share * (1.0 - rim_splash) : share;
}

}  // namespace

double fall_time_s(double speed_m_per_s, double drop_m) {
  return (fall_speed_m_per_s(speed_m_per_s, drop_m) - speed_m_per_s) / kGravity;
}

double fall_speed_m_per_s(double speed_m_per_s, double drop_m) {
  return std::sqrt(speed_m_per_s * speed_m_per_s + 2.0 * kGravity * drop_m);
}

double overlap_m2(double radius_a_m, double radius_b_m, double distance_m) {
  const double small = std::min(radius_a_m, radius_b_m);
  const double large = std::max(radius_a_m, radius_b_m);
  if (distance_m <= large - small) return std::numbers::pi * small * small;
  if (distance_m >= large + small) return 0.0;
  const double kite = (small + large - distance_m) * (distance_m + small - large) *
                      (distance_m - small + large) * (distance_m + small + large);
  return small * small * crossing_angle(small, large, distance_m) +
         large * large * crossing_angle(large, small, distance_m) - 0.5 * std::sqrt(kite);
}

double jet_share(double jet_radius_m, double opening_radius_m, double distance_m) {
  return overlap_m2(jet_radius_m, opening_radius_m, distance_m) /
         (std::numbers::pi * jet_radius_m * jet_radius_m);
}

double captured_share(const Streak& streak, std::span<const Plane> planes, double rim_splash) {
  constexpr int kElements = 128;
  const double first = streak.along_m - 0.5 * streak.length_m;
  const auto share_at = [&](double along_m) {
    return element_share(streak, along_m, planes, rim_splash);
  };
  // An opening is convex: if both ends clear every edge, so does all between them.
  if (share_at(first) == 1.0 && share_at(first + streak.length_m) == 1.0) return 1.0;
  double sum = 0.0;
  for (int i = 0; i < kElements; ++i) {
    sum += share_at(first + (i + 0.5) / kElements * streak.length_m);
  }
  return sum / kElements;
}

double stream_dose_kg(double flow_kg_per_s, double opening_radius_m, double line_m_per_s) {
  return flow_kg_per_s * 2.0 * opening_radius_m / line_m_per_s;
}

double stream_lost_share(double opening_radius_m, double pitch_m) {
  return std::max(0.0, 1.0 - 2.0 * opening_radius_m / pitch_m);
}

}  // namespace rimebench::physics
