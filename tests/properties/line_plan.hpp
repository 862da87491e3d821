#pragma once

/// A plausible line in a few numbers: what RapidCheck draws and shrinks.

#include <iosfwd>
#include <vector>

#include "firmware_sim/contract/parameter.hpp"
#include "tests/properties/drive.hpp"

namespace rimebench::properties {

/// What happens while the next few containers pass the sensor.
enum class Happening : std::uint8_t {
  kNothing,
  kSpeed,          ///< the belt goes at another speed from here on, reached in a few pulses
  kStop,           ///< permit away, belt stands, permit back
  kJam,            ///< the belt stands and the permit stays
  kPermitFlicker,  ///< the permit goes for an instant, the belt does not notice
  kChatter,        ///< the sensor flickers between two containers
  kNarrow,         ///< a container seen too narrow
  kClose,          ///< a container close behind the one before
  kMissing,        ///< a gap
  kSafetyChain,    ///< lost, the belt stands, then the operator goes on
  kLink,
  kSupply,
  kOperatorStop,
  kFeedbackLost,  ///< for a while the valve's feedback does not follow, or comes too late
  kRecipe,        ///< stopped, another dose committed, whole or not, started again
  kSeamerStop,    ///< on a queued line the seamer pauses
  kCount,
};

struct Episode {
  Happening what;
  std::int64_t strength;    ///< 0 to 1000
  std::int64_t containers;  ///< that pass the sensor undisturbed before it
};

struct LinePlan {
  bool queued;
  bool pulsed;
  std::int64_t pulse_pitch_um;
  std::int64_t width_um;
  std::int64_t gap_um;
  std::int64_t speed_um_per_s;
  std::int64_t lead_us;      ///< flight and half the valve's delays
  std::int64_t shot_us;      ///< of an ungained dose
  std::int64_t feedback_us;  ///< allowed; 0: none is wired
  int group;                 ///< containers in a group; 1: no group signal
  bool streams;              ///< at three quarters of its speed and above the valve is held open
  std::vector<Episode> episodes;
};

std::ostream& operator<<(std::ostream& out, const LinePlan& plan);

/// `calm`: nothing happens and the speed is steady.
LinePlan any_plan(bool calm);

/// The recipe that suits the plan's line.
RecipeValues recipe_for(const LinePlan& plan);

/// The wait that the recipe expects of each place of a group.
std::int64_t place_wait_us(const LinePlan& plan, int place);

/// The dose that the recipe gives a container that waits this long, ug, worked out anew.
std::int64_t dose_ug(const RecipeValues& recipe, std::int64_t wait_us);

/// The open time that the recipe gives a container that waits this long, worked out anew.
std::int64_t open_us(const RecipeValues& recipe, std::int64_t wait_us);

}  // namespace rimebench::properties
