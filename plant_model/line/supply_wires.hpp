#pragma once

/// What the controller is shown of supply and room: samples at a fixed period, each sent a fixed
/// delay after it was measured and only once it has moved by its step; supply ready beside them.

#include <optional>

#include "plant_model/line/input_queue.hpp"
#include "plant_model/line/room_air.hpp"
#include "plant_model/line/supply.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// One measured value on its channel.
class Sample {
 public:
  Sample(Channel channel, std::int64_t step) : channel_(channel), step_(step) {}
  void show(Instant at, double value, InputQueue& inputs);

 private:
  Channel channel_;
  std::int64_t step_;
  std::optional<std::int64_t> shown_;
};

class SupplyWires {
 public:
  explicit SupplyWires(const PlantSpec& spec);

  /// The next measurement; kNever where nothing is wired.
  Instant next() const { return earlier(next_supply_, next_room_); }
  /// Measures what is due at `at`, which is next(). Needs the plant to have a supply.
  void measure(Instant at, Supply& supply, InputQueue& inputs);
  /// The first moment after `at` at which a measurement not yet made may reach the controller.
  Instant horizon() const;

 private:
  void measure_supply(Instant at, const Supply& supply, InputQueue& inputs);

  DosingSupplySpec spec_;
  RoomAirSpec room_spec_;
  std::optional<RoomAir> room_;
  Instant next_supply_{kNever};
  Instant next_room_{kNever};
  double released_kg_{0.0};
  Sample level_;
  Sample pressure_;
  Sample body_;
  Sample ready_{Channel::kSupplyReady, 1};
  Sample oxygen_;
};

}  // namespace rimebench
