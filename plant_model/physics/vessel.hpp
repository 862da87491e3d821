#pragma once

/// How fast a vessel of liquid nitrogen empties (8.1).
namespace rimebench::physics {

/// What a line draws. Heat and losses are measured [CAL].
struct Consumption {
  double dose_kg_per_s;   ///< liquid through the nozzle
  double flash_share;     ///< of what leaves the vessel, lost as its pressure falls
  double transfer_share;  ///< of what is left, lost in hose and cool-down
  double head_W;          ///< heat into the dosing head
};

/// A vessel of liquid nitrogen.
struct Vessel {
  double gross_m3;
  double boil_off_per_day;  ///< share of the gross volume that boils away unused
};

/// Liquid drawn from the vessel and boiled in the head, m3/s, without the vessel's own boil-off.
double drawn_m3_per_s(const Consumption& use);

/// The vessel's own boil-off, m3/s.
double own_boil_off_m3_per_s(const Vessel& vessel);

/// Liquid in kg that cools a kilogram of stainless steel from 300 K to its own boiling point on
/// latent heat alone (85 kJ/kg, recalled from memory).
double cool_down_kg_per_kg();

}  // namespace rimebench::physics
