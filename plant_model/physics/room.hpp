#pragma once

/// Oxygen in a room into which nitrogen escapes, well mixed. Cold vapour is nearly four times as
/// heavy as air and pools low, so near the floor these figures are not on the safe side.
namespace rimebench::physics {

/// Oxygen in the outside air as room formulas take it; the reference value is given by the caller
/// where a published formula uses 0.21.
inline constexpr double kRoomOxygen = 0.2095;

/// Volumes and flows in m3 and m3/s (or any one unit of time for both flows).
struct Ventilation {
  double room_m3;
  double air_m3_per_s;       ///< fresh air, or what an extract draws
  double nitrogen_m3_per_s;  ///< all that enters the room, as gas at its temperature
};

/// Oxygen share that stays with an extract fan: what it draws holds the nitrogen too. Zero if
/// there is as much nitrogen as draught.
double steady_oxygen_extract(const Ventilation& room, double outside = kRoomOxygen);

/// Oxygen share that stays where fresh air is blown in beside the nitrogen.
double steady_oxygen_supply(const Ventilation& room, double outside = kRoomOxygen);

/// The same, `seconds` after the nitrogen began to flow into fresh air.
double oxygen_after_extract(const Ventilation& room, double seconds, double outside = kRoomOxygen);
double oxygen_after_supply(const Ventilation& room, double seconds, double outside = kRoomOxygen);

/// Oxygen share after a sudden release that pushes its own volume of room air out (the form that
/// gas associations use). Never below zero.
double oxygen_after_release(double room_m3, double nitrogen_m3, double outside = kRoomOxygen);

/// The same, where the gas mixes while it drives the mixture out.
double oxygen_after_mixing_release(double room_m3, double nitrogen_m3,
                                   double outside = kRoomOxygen);

/// Extract that keeps this oxygen share against a nitrogen flow, in the flow's unit.
double extract_for(double nitrogen_m3_per_s, double oxygen_share, double outside = kRoomOxygen);

/// Air changes that bring a concentration from `start` to `end` by ventilation with a mixing
/// factor, 1 for complete mixing, 0.2 to 1 in practice (form of NFPA 69).
double air_changes(double start, double end, double mixing);

}  // namespace rimebench::physics
