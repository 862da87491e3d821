#include "plant_model/physics/room.hpp"

#include <algorithm>
#include <cmath>

namespace rimebench::physics {

double steady_oxygen_extract(const Ventilation& room, double outside) {
  if (room.nitrogen_m3_per_s >= room.air_m3_per_s) return 0.0;
  return outside * (1.0 - room.nitrogen_m3_per_s / room.air_m3_per_s);
}

double steady_oxygen_supply(const Ventilation& room, double outside) {
  const double through = room.air_m3_per_s + room.nitrogen_m3_per_s;
  return through > 0.0 ? outside * room.air_m3_per_s / through : outside;
}

double oxygen_after_extract(const Ventilation& room, double seconds, double outside) {
  const double changed = -std::expm1(-room.air_m3_per_s * seconds / room.room_m3);
  return outside * (1.0 - room.nitrogen_m3_per_s / room.air_m3_per_s * changed);
}

double oxygen_after_supply(const Ventilation& room, double seconds, double outside) {
  const double through = room.air_m3_per_s + room.nitrogen_m3_per_s;
  const double left = std::exp(-through * seconds / room.room_m3);
  return outside / through * (room.air_m3_per_s + room.nitrogen_m3_per_s * left);
}

double oxygen_after_release(double room_m3, double nitrogen_m3, double outside) {
  return outside * std::max(0.0, 1.0 - nitrogen_m3 / room_m3);
}

double oxygen_after_mixing_release(double room_m3, double nitrogen_m3, double outside) {
  return outside * std::exp(-nitrogen_m3 / room_m3);
}

double extract_for(double nitrogen_m3_per_s, double oxygen_share, double outside) {
  return nitrogen_m3_per_s / (1.0 - oxygen_share / outside);
}

double air_changes(double start, double end, double mixing) {
  return std::log(start / end) / mixing;
}

}  // namespace rimebench::physics
