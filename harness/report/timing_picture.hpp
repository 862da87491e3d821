#pragma once

/// The timing of one container, drawn twice: the whole way from sensor to seam, and the shot alone,
/// large. A neutral description goes in; an SVG or lines for the terminal come out.

#include <cstdint>
#include <string>
#include <vector>

#include "firmware_sim/units/quantity.hpp"
#include "harness/report/figure.hpp"

namespace rimebench {

struct TimeSpan {
  Instant from;
  Instant until;

  Duration length() const { return until - from; }
};

/// A signal that is up, or something that lasts; a moment if both ends are the same.
struct Stretch {
  TimeSpan time;
  bool own{true};  ///< it belongs to the container; else to a neighbour
  /// In the large drawing, each may be empty.
  std::string label;   ///< on it
  std::string before;  ///< to its left
  std::string after;   ///< to its right
};

enum class LaneKind : std::uint8_t { kSensor, kLinePulse, kCommand, kValve, kLanding, kClosing };

struct TimingLane {
  LaneKind kind{};
  std::string name;
  std::vector<Stretch> stretches;  ///< in time order
};

/// A line below the drawing: what, and how much with its unit.
struct TimingFact {
  std::string name;
  std::string value;
  std::optional<Figure> figure{};  ///< the same, for a reader who chooses units
};

struct TimingPicture {
  std::string title;
  std::string subtitle;
  std::vector<TimingLane> lanes;
  Instant zero;  ///< the whole way is counted from here: the sensor's edge
  TimeSpan whole;
  TimeSpan shot;      ///< empty (both ends the same) if there was none
  Instant shot_zero;  ///< the shot is counted from here: its open command
  std::vector<TimingFact> facts;

  bool has_shot() const { return shot.from < shot.until; }
};

/// One SVG file, with nothing outside it.
std::string to_svg(const TimingPicture& picture);

/// Lanes of characters, 100 columns wide.
std::string to_lanes(const TimingPicture& picture);

/// True if something of the lane lies in this span.
bool shows(const TimingLane& lane, const TimeSpan& span);

/// Ticks for an axis: 4 to 10 round times from `zero` that lie in the span, and their texts.
struct TimeTick {
  Instant at;
  std::string text;
};
struct TimeAxis {
  std::string unit;  ///< "s" or "ms"
  std::vector<TimeTick> ticks;
};
TimeAxis time_axis(const TimeSpan& span, Instant zero);

}  // namespace rimebench
