#pragma once

/// Which opening of the valve dosed which container, found as the run goes by.

#include <cstdint>
#include <deque>
#include <map>
#include <optional>

#include "firmware_sim/contract/signal_change.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// The first shot of a container. kNever: not known.
struct ShotTimes {
  Instant command_open{kNever};
  Instant command_close{kNever};
  Instant open{kNever};  ///< the valve itself
  Instant close{kNever};
  Instant landing_begin{kNever};
  Instant landing_end{kNever};
};

/// How long liquid falls from the nozzle to the surface of the drink, as the plant has it.
Duration fall_to_drink(const NozzleSpec& nozzle, const ProductSpec& product);

class ShotFinder {
 public:
  explicit ShotFinder(const PlantSpec& spec);

  void on_change(const SignalChange& change);
  /// Once for each container, as its row is written.
  ShotTimes take(std::int64_t container);

 private:
  /// Levels are numbered from the first of the run on; the latest are kept.
  class Levels {
   public:
    struct Level {
      Instant from;
      Instant until{kNever};
    };
    void on_change(const SignalChange& change);
    /// The last one that began before `at`; none if it is no longer kept.
    std::optional<std::int64_t> last_before(Instant at) const;
    Level at(std::int64_t number) const;

   private:
    std::deque<Level> kept_;
    std::int64_t first_kept_{0};
  };
  struct Shot {
    std::optional<std::int64_t> command;
    std::int64_t opening{};
    Instant landed;
  };

  void land(const SignalChange& landing);

  Duration fall_;
  Levels commands_;
  Levels openings_;
  std::map<std::int64_t, Shot> shots_;  ///< of containers that have no row yet
};

}  // namespace rimebench
