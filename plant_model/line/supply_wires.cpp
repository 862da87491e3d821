#include "plant_model/line/supply_wires.hpp"

#include <cstdlib>

namespace rimebench {

namespace {

constexpr double kMilli = 1000.0;

Instant first_of(std::int64_t period_us) { return period_us > 0 ? Instant{0} : kNever; }

}  // namespace

void Sample::show(Instant at, double value, InputQueue& inputs) {
  const auto whole = static_cast<std::int64_t>(value < 0.0 ? value - 0.5 : value + 0.5);
  if (shown_ && std::abs(whole - *shown_) < step_) return;
  if (whole != shown_.value_or(0)) {
    inputs.put({at, channel_, static_cast<std::int32_t>(whole)});
  }
  shown_ = whole;
}

SupplyWires::SupplyWires(const PlantSpec& spec)
    : spec_(spec.line.supply.value_or(DosingSupplySpec{})),
      room_spec_(spec.line.room.value_or(RoomAirSpec{})),
      next_supply_(first_of(spec_.sample_us)),
      next_room_(first_of(room_spec_.sample_us)),
      level_(Channel::kSupplyLevel, spec_.level_step_um),
      pressure_(Channel::kSupplyPressure, spec_.pressure_step_pa),
      body_(Channel::kBodyTemperature, spec_.body_step_mk),
      oxygen_(Channel::kRoomOxygen, room_spec_.oxygen_step_ppm) {
  if (spec.line.room) room_.emplace(room_spec_);
}

Instant SupplyWires::horizon() const {
  Instant soonest = kNever;
  if (next_supply_ != kNever) soonest = next_supply_ + Duration{spec_.sample_delay_us};
  if (next_room_ != kNever) {
    soonest = earlier(soonest, next_room_ + Duration{room_spec_.sample_delay_us});
  }
  return soonest;
}

void SupplyWires::measure(Instant at, Supply& supply, InputQueue& inputs) {
  supply.advance(at);
  if (at == next_supply_) {
    measure_supply(at + Duration{spec_.sample_delay_us}, supply, inputs);
    next_supply_ = next_supply_ + Duration{spec_.sample_us};
  }
  if (at == next_room_) {
    const SupplyBooks& books = supply.books();
    const double out = books.put_on - books.taken_off - books.in_vessel - books.in_head;
    const double period_s =
        static_cast<double>(room_spec_.sample_us) / static_cast<double>(kMicrosPerSecond);
    room_->advance(period_s, out - released_kg_);
    released_kg_ = out;
    oxygen_.show(at + Duration{room_spec_.sample_delay_us}, room_->shown_ppm(), inputs);
    next_room_ = next_room_ + Duration{room_spec_.sample_us};
  }
}

void SupplyWires::measure_supply(Instant at, const Supply& supply, InputQueue& inputs) {
  level_.show(at, supply.level_um(), inputs);
  pressure_.show(at, supply.head_pa(), inputs);
  body_.show(at, supply.body_k() * kMilli, inputs);
  const auto ready_um = static_cast<double>(spec_.ready_um);
  if (spec_.ready_um > 0) ready_.show(at, supply.level_um() >= ready_um ? 1.0 : 0.0, inputs);
}

}  // namespace rimebench
