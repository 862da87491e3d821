#pragma once

/// From the liquid that must land back to the valve, and where the shot lies in the opening.

#include "plant_model/spec/plan.hpp"

namespace rimebench {

/// Liquid flow and jet of the line, or those of a bore under a head where the plan gives one.
struct Jet {
  double flow_kg_per_s{};
  double speed_m_per_s{};
  double radius_m{};
};

Jet jet_of(const PlanSpec& plan);

/// The planned speed and geometry at the nozzle.
struct NozzleView {
  double belt_m_per_s{};
  double opening_radius_m{};
  double to_rim_s{};    ///< flight from nozzle to rim
  double to_drink_s{};  ///< flight from nozzle to the surface of the drink
  double jitter_m{};    ///< three standard deviations of the valve's and the sensor's times
  Jet jet;
};

NozzleView nozzle_view(const PlanSpec& plan);

/// A shot of which less is caught is refused, not made up for.
inline constexpr double kCapturedLeast = 0.5;

/// One shot, aimed so that its middle meets the middle of the opening at the surface.
struct Shot {
  double nozzle_kg{};
  double landed_kg{};
  double flow_s{};
  double open_s{};            ///< the valve's command
  double streak_m{};          ///< laid on the moving drink
  double captured_rim{};      ///< share that passes the rim
  double captured_surface{};  ///< share that meets the surface within the opening's width
  double captured{};          ///< share that passes both
  double window_m{};          ///< the landing may be off by this, each way; negative: does not fit
  double lead_s{};            ///< from the open command to the middle of the landing
};

/// The shot that lands this much liquid, what misses the opening made good.
Shot shot_for(const PlanSpec& plan, const NozzleView& view, double landed_kg);

/// What lands of a given mass at the nozzle.
double landed_of(const PlanSpec& plan, double nozzle_kg, double captured);

/// The valve's command for a mass at the nozzle, and back.
double open_s_for(const PlanSpec& plan, const Jet& jet, double nozzle_kg);
double nozzle_kg_for(const PlanSpec& plan, const Jet& jet, double open_s);

/// Shortest command that gives its dose surely: the valve has opened, scatter included.
double least_open_s(const PlanSpec& plan);

/// Longest streak that falls wholly into the opening at both planes, scatter included; may be
/// negative.
double longest_streak_m(const NozzleView& view);

/// Belt speed at which single shots of this kind stop fitting, and why.
struct SpeedLimit {
  double belt_m_per_s{};
  bool by_streak{};  ///< else the next container comes before the valve has rested
};

SpeedLimit single_shot_limit(const PlanSpec& plan, const NozzleView& view, const Shot& shot);

/// Rest between two shots that the recipe asks for.
inline constexpr double kRest_s = 0.005;

}  // namespace rimebench
