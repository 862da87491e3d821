#include "plant_model/line/room_air.hpp"

#include "plant_model/line/lag.hpp"
#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/room.hpp"

namespace rimebench {

namespace {

constexpr double kRoomK = 293.15;
constexpr double kSecondsPerHour = 3600.0;

}  // namespace

RoomAir::RoomAir(const RoomAirSpec& spec)
    : spec_(spec),
      air_m3_per_s_(spec.volume_m3 * spec.air_changes_per_h * spec.mixing / kSecondsPerHour),
      oxygen_(physics::kRoomOxygen),
      shown_(physics::kRoomOxygen) {}

void RoomAir::advance(double dt_s, double nitrogen_kg) {
  const double gas_m3 =
      nitrogen_kg / physics::nitrogen_gas_kg_per_m3(physics::kAtmospherePa, kRoomK);
  const physics::Ventilation air{spec_.volume_m3, air_m3_per_s_, gas_m3 / dt_s};
  const double through = air.air_m3_per_s + air.nitrogen_m3_per_s;
  follow(oxygen_, physics::steady_oxygen_supply(air), dt_s, spec_.volume_m3 / through);
  follow(shown_, oxygen_, dt_s, spec_.sensor_s);
}

}  // namespace rimebench
