#pragma once

/// When the timed disturbances of a scenario come: those that it schedules, and those it has drawn
/// at a rate. Worked out once, before the line runs.

#include <cstdint>
#include <memory>
#include <vector>

#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// One spell, from its begin to its end.
struct Occurrence {
  Instant from;
  Instant to;
  double amount{};
  Duration ramp;
  Duration coast;
  Duration period;
};

/// In time order, not overlapping: a drawn one that would overlap another does not come.
std::vector<Occurrence> occurrences(const PlantSpec& spec, SpellKind kind);

/// The line's stops, scheduled, drawn and in an emergency, in time order, not overlapping.
std::vector<LineStop> all_stops(const PlantSpec& spec);

/// What the upstream half has to do at a moment.
struct TimelineEvent {
  enum class What : std::uint8_t { kSpell, kMark, kOperator };
  Instant at;
  What what{};
  bool begins{};
  SpellKind kind{};
  Button button{};
  Befell befell{};
  double amount{};
  Instant to{};  ///< of what begins
  int shots{};
};

/// All of them, in time order. Ends come before begins.
std::vector<TimelineEvent> timeline(const PlantSpec& spec);

}  // namespace rimebench
