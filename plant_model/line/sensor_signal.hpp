#pragma once

/// What the container sensor shows: the level that containers (and drops of drink) give it, unless
/// it is stuck.

#include <memory>
#include <vector>

#include "plant_model/line/input_queue.hpp"
#include "plant_model/line/schedule.hpp"

namespace rimebench {

class SensorSignal {
 public:
  explicit SensorSignal(const PlantSpec& spec);

  /// The true level changes at `at`, or just behind the last change; returns when it did.
  Instant set(Instant at, bool high, InputQueue& inputs);
  /// Shows what the sensor does by itself up to `at`: it gets stuck, or works again.
  void settle(Instant at, InputQueue& inputs);

 private:
  struct Stuck {
    Instant from;
    Instant to;
    bool high{};
  };

  void show(Instant at, bool high, InputQueue& inputs);

  std::shared_ptr<const std::vector<Stuck>> stuck_;
  std::size_t next_{0};  ///< the present or the next time that it is stuck
  bool is_stuck_{false};
  bool true_level_{false};
  bool shown_{false};
  Instant last_change_{};
};

}  // namespace rimebench
