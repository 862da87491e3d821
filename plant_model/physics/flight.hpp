#pragma once

#include <span>

namespace rimebench::physics {

/// Time in s to fall `drop_m` from a downward speed, without drag (negligible for a jet of
/// millimetres over less than 0.1 m). Uses a square root only, so it may set an event time.
double fall_time_s(double speed_m_per_s, double drop_m);

/// Downward speed in m/s after that fall.
double fall_speed_m_per_s(double speed_m_per_s, double drop_m);

/// Area in m2 shared by two circles whose centres are `distance_m` apart.
double overlap_m2(double radius_a_m, double radius_b_m, double distance_m);

/// Share of a jet's cross-section that falls inside a round opening, with `distance_m` between
/// their centres.
double jet_share(double jet_radius_m, double opening_radius_m, double distance_m);

/// The liquid of one shot as laid on the moving container: a jet of round cross-section drawn out
/// along the travel.
struct Streak {
  double jet_radius_m;
  double length_m;   ///< line speed times flow time
  double along_m;    ///< centre of the streak from the centre of the opening, along the travel
  double lateral_m;  ///< across it
};

/// A round opening the liquid must pass: the rim, and again the surface of the drink.
struct Plane {
  double radius_m;
  double along_shift_m;  ///< how much further along the streak lies here than at the rim
};

/// Share of the streak that passes every plane. An element counts by the plane that cuts it most.
/// Of an element cut by an edge, `rim_splash` [CAL] of the part inside is lost too.
double captured_share(const Streak& streak, std::span<const Plane> planes, double rim_splash);

/// Mass in kg that each container gets from a running stream: what falls while the opening passes.
double stream_dose_kg(double flow_kg_per_s, double opening_radius_m, double line_m_per_s);

/// Share of a running stream that falls between the openings.
double stream_lost_share(double opening_radius_m, double pitch_m);

}  // namespace rimebench::physics
