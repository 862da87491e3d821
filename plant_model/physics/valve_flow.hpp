#pragma once

namespace rimebench::physics {

/// Discharge coefficient of a sharp-edged orifice. ISO 5167 excludes bores below 12.5 mm: at the
/// 1 to 2 mm of a dosing nozzle it must be measured [CAL].
inline constexpr double kSharpEdgedDischarge = 0.61;

/// Pressure in Pa that drives the liquid through the nozzle: gauge pressure over the liquid and its
/// level above the outlet, against the room.
double driving_Pa(double head_gauge_Pa, double level_m);

/// Outflow speed in m/s of an ideal jet under this pressure; sqrt(2 g h) for a vented head.
double jet_speed_m_per_s(double driving_Pa);

/// Mass flow in kg/s of liquid nitrogen through a bore: C_d A sqrt(2 rho dP).
double nozzle_flow_kg_per_s(double discharge, double bore_m, double driving_Pa);

/// Factor on that flow when a share `vapour_mass_share` of what arrives is vapour already:
/// homogeneous mixture, sqrt(rho_mix / rho_liquid). One per cent by mass leaves about 0.6.
/// Like the pressure and speed above it uses + - x / and the square root only: it may set a time.
double two_phase_factor(double vapour_mass_share);

/// How a valve follows its command.
struct ValveTiming {
  double open_delay_s;   ///< from the command to the first lift
  double close_delay_s;  ///< from its end to the first fall
  double stroke_s;       ///< from shut to full flow, and back
};

/// Time at full flow that passes the same mass as a command of `command_s`. Linear in the command
/// above open delay plus stroke; below, the valve never opens fully and the flow is a triangle.
double full_flow_s(double command_s, const ValveTiming& timing);

/// Command that gives `full_flow_s`, zero or more: the inverse of the above.
double command_for_s(double full_flow_s, const ValveTiming& timing);

/// Shortest command whose dose is proportional, three standard deviations of the delay clear of the
/// triangle.
double shortest_linear_command_s(const ValveTiming& timing, double jitter_s);

/// Relative scatter of a dose: times of opening, driving pressure (as its square root), gas
/// carried.
double dose_scatter(double relative_time, double relative_pressure, double gas);

}  // namespace rimebench::physics
