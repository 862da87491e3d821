#pragma once

#include <optional>

#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/moment.hpp"

namespace rimebench {

/// An edge of the container sensor that held for debounce_us.
struct SensorEdge {
  bool leading;
  Length position;  ///< of the belt when the edge passed the sensor, latency taken off
  Instant at;       ///< when it passed
};

/// Believes a level once it has held for debounce_us, and then dates it back to its edge.
class Debounce {
 public:
  /// Takes the level for granted, without an edge.
  void begin(bool level) { raw_ = accepted_ = level; }
  /// At most one edge is believed an instant.
  std::optional<SensorEdge> settle(const Moment& moment, bool level, Counters& counters);
  /// When the present level will have held long enough; kNever if it is already believed.
  Instant due(const Recipe& recipe) const;

 private:
  std::optional<SensorEdge> believe(const Moment& moment);

  bool raw_ = false;
  bool accepted_ = false;
  Instant since_;
  Length edge_position_;
};

/// A longer row of touching containers is a jam; sensor_high_um_max is there to tell it.
inline constexpr int kRowMax = 16;

/// What the sensor has shown.
enum class Sighting : std::uint8_t { kNothing, kContainer, kDoubleEdge, kImplausibleWidth };

/// From sensor levels to containers: debounce, double edges, plausible width.
class Admission {
 public:
  void begin(bool level) { debounce_.begin(level); }
  /// kContainer: a new one, its leading edge at leading_edge().
  /// kDoubleEdge: a leading edge of the newest container, once more.
  /// kImplausibleWidth: the newest container's trailing edge came too soon or too late.
  Sighting settle(const Moment& moment, bool level, Counters& counters);
  Length leading_edge() const { return leading_edge_; }
  /// After kImplausibleWidth: how many containers that width may be, standing against each other.
  /// One lying on its side looks like two, and counts as two.
  int in_a_row(const Recipe& recipe) const;
  /// And the leading edge of one of them, 0 for the first.
  Length leading_edge_in_row(const Recipe& recipe, int index) const;
  Instant leading_edge_at() const { return leading_edge_at_; }
  Instant due(const Recipe& recipe) const { return debounce_.due(recipe); }

 private:
  Debounce debounce_;
  bool any_ = false;        ///< leading_edge_ is that of a container
  bool measuring_ = false;  ///< its trailing edge is still to come
  Length leading_edge_;
  Instant leading_edge_at_;
  Length width_;  ///< of what passed last
};

}  // namespace rimebench
