#pragma once

/// Every key of a scenario that is a number, beside the struct member it fills. The recipe's keys
/// stand in firmware_sim/contract/parameter_table.hpp.

#include <array>

#include "harness/config/rows.hpp"
#include "harness/config/scenario.hpp"

namespace rimebench {

inline constexpr double kWeekUs = 604'800'000'000;
inline constexpr double kMinuteUs = 60'000'000;

// clang-format off
inline constexpr auto kContainerRows = std::to_array<Row<ContainerSpec>>({
    {"brimful_ml", &ContainerSpec::brimful_ml, "ml", 1, 100'000, kMustBeGiven, "brimful volume at 20 C, not under pressure"},
    {"compliance_ml_per_mpa", &ContainerSpec::compliance_ml_per_mpa, "ml/MPa", 0, 10'000, kMustBeGiven, "growth of the closed container under pressure; 0: rigid"},
    {"expansion_ppm_per_k", &ContainerSpec::expansion_ppm_per_k, "ppm/K", 0, 1'000, kMustBeGiven, "thermal growth of its volume, three times the linear one"},
    {"opening_um", &ContainerSpec::opening_um, "um", 1'000, 500'000, kMustBeGiven, "inner diameter of the opening"},
    {"body_um", &ContainerSpec::body_um, "um", 1'000, 1'000'000, kMustBeGiven, "outer diameter, as the sensor sees it and as containers touch"},
    {"rating_kpa", &ContainerSpec::rating_kpa, "kPa", 10, 10'000, kMustBeGiven, "the supplier's pressure rating, gauge"},
    {"rating_safety_factor", &ContainerSpec::rating_safety_factor, "1", 1, 10, kMustBeGiven, "the hot pressure must stay under the rating divided by this"},
    {"insert_ml", &ContainerSpec::insert_ml, "ml", 0, 100'000, 0, "outer volume of an insert that stays in the container and takes room from the drink"},
    {"insert_gas_ml", &ContainerSpec::insert_gas_ml, "ml", 0, 100'000, 0, "gas in the insert, which shares the headspace's pressure in the end"},
    {"insert_oxygen_percent", &ContainerSpec::insert_oxygen_percent, "%", 0, 100, 20.946, "oxygen in that gas before the fill"},
    {"creep_percent", &ContainerSpec::creep_percent, "%", 0, 20, 0, "plastic: the volume grows by this times ln(1 + time / creep_start_h)"},
    {"creep_start_h", &ContainerSpec::creep_start_h, "h", 0.001, 10'000, 1, "plastic: the time in that law"},
    {"deformation_kpa", &ContainerSpec::deformation_kpa, "kPa", 0, 10'000, 0, "plastic: the base rolls out or the wall gives way at the store's temperature; 0: no such limit"},
});

inline constexpr auto kProductRows = std::to_array<Row<ProductSpec>>({
    {"dry", &ProductSpec::dry, "", 0, 1, 0, "dry goods: nothing dissolves in them, and fill_ml is the volume of the grains themselves"},
    {"fill_ml", &ProductSpec::fill_ml, "ml", 1, 100'000, kMustBeGiven, "volume of the drink as it is filled"},
    {"fill_sd_ml", &ProductSpec::fill_sd_ml, "ml", 0, 1'000, kMustBeGiven, "standard deviation of the fill"},
    {"fill_temperature_c", &ProductSpec::fill_temperature_c, "C", 0, 45, kMustBeGiven, "temperature of the drink as it is filled; warmer fills are not modelled"},
    {"dissolved_oxygen_mg_per_kg", &ProductSpec::dissolved_oxygen_mg_per_kg, "mg/kg", 0, 100, kMustBeGiven, "oxygen in the drink before it is filled"},
    {"dissolved_nitrogen_mg_per_kg", &ProductSpec::dissolved_nitrogen_mg_per_kg, "mg/kg", 0, 200, kMustBeGiven, "nitrogen in the drink before it is filled"},
    {"carbonation_volumes", &ProductSpec::carbonation_volumes, "1", 0, 6, 0, "volumes of carbon dioxide; from 1.2 on a dose makes the drink foam and pressures are indicative"},
    {"solubility_percent", &ProductSpec::solubility_percent, "%", 1, 200, 100, "gas that the drink takes up, of what pure water would: about 85 with 10 % of sugar"},
    {"dry_density_kg_per_l", &ProductSpec::dry_density_kg_per_l, "kg/l", 0.1, 10, 1.4, "dry goods: mass over the volume of the grains themselves"},
    {"rim_to_drink_um", &ProductSpec::rim_to_drink_um, "um", 0, 500'000, kMustBeGiven, "from the rim down to the surface of the drink"},
});

inline constexpr auto kRotaryRows = std::to_array<Row<FillerSpec>>({
    {"pitch_um", &FillerSpec::pitch_um, "um", 1'000, 2'000'000, kMustBeGiven, "rotary: distance from container to container"},
    {"pitch_sd_um", &FillerSpec::pitch_sd_um, "um", 0, 500'000, 0, "standard deviation of a container's place on the belt"},
});

inline constexpr auto kInlineRows = std::to_array<Row<FillerSpec>>({
    {"heads", &FillerSpec::heads, "1", 1, kPlaces, kMustBeGiven, "inline: containers released at once"},
    {"head_pitch_um", &FillerSpec::head_pitch_um, "um", 1'000, 2'000'000, kMustBeGiven, "inline: distance between heads"},
    {"group_pitch_um", &FillerSpec::group_pitch_um, "um", 1'000, 20'000'000, kMustBeGiven, "inline: belt travel from one release to the next"},
    {"pitch_sd_um", &FillerSpec::pitch_sd_um, "um", 0, 500'000, 0, "standard deviation of a container's place on the belt"},
});

inline constexpr auto kStationRows = std::to_array<Row<StationsSpec>>({
    {"sensor_um", &StationsSpec::sensor_um, "um", 0, 50'000'000, kMustBeGiven, "container sensor, along the travel from where a rotary filler lets go, or from an inline filler's first head"},
    {"nozzle_um", &StationsSpec::nozzle_um, "um", 1, 50'000'000, kMustBeGiven, "the nozzle's axis"},
    {"lid_um", &StationsSpec::lid_um, "um", 0, 50'000'000, 0, "where the lid is laid on; locked transport only"},
    {"seam_um", &StationsSpec::seam_um, "um", 1, 50'000'000, kMustBeGiven, "locked: first seaming roll; queued: where the seamer takes containers"},
    {"discharge_um", &StationsSpec::discharge_um, "um", 0, 50'000'000, 0, "discharge sensor behind the seamer; 0: none (a queued line needs one)"},
    {"gate_um", &StationsSpec::gate_um, "um", 0, 50'000'000, 0, "reject gate; 0: none"},
});

inline constexpr auto kSeamerRows = std::to_array<Row<SeamerSpec>>({
    {"cycle_us", &SeamerSpec::cycle_us, "us", 1, 10 * kMinuteUs, kMustBeGiven, "the seamer takes one container in this time"},
    {"lid_us", &SeamerSpec::lid_us, "us", 0, 10 * kMinuteUs, kMustBeGiven, "from the taking to the lid"},
    {"seam_us", &SeamerSpec::seam_us, "us", 1, 10 * kMinuteUs, kMustBeGiven, "from the taking to the seam"},
    {"discharge_us", &SeamerSpec::discharge_us, "us", 1, 10 * kMinuteUs, kMustBeGiven, "from the taking to the leading edge at the discharge sensor"},
});

inline constexpr auto kSensorRows = std::to_array<Row<SensorSpec>>({
    {"on_delay_us", &SensorSpec::on_delay_us, "us", 0, 1'000'000, kMustBeGiven, "from the leading edge to the signal"},
    {"off_delay_us", &SensorSpec::off_delay_us, "us", 0, 1'000'000, kMustBeGiven, "from the trailing edge to the end of the signal"},
    {"jitter_sd_us", &SensorSpec::jitter_sd_us, "us", 0, 100'000, 0, "standard deviation of both"},
});

inline constexpr auto kValveRows = std::to_array<Row<ValveSpec>>({
    {"open_delay_us", &ValveSpec::open_delay_us, "us", 0, 1'000'000, kMustBeGiven, "from the open command to flow"},
    {"close_delay_us", &ValveSpec::close_delay_us, "us", 0, 1'000'000, kMustBeGiven, "from the close command to the end of flow"},
    {"jitter_sd_us", &ValveSpec::jitter_sd_us, "us", 0, 100'000, 0, "standard deviation of both"},
    {"flow_ug_per_us", &ValveSpec::flow_ug_per_us, "ug/us", 0.01, 1'000, kMustBeGiven, "liquid through the open valve; g/s is the same number"},
    {"flow_sd_percent", &ValveSpec::flow_sd_percent, "%", 0, 50, 0, "standard deviation of the flow, shot by shot"},
    {"feedback_delay_us", &ValveSpec::feedback_delay_us, "us", 0, 1'000'000, 0, "from real movement to the feedback signal; 0: not wired"},
});

inline constexpr auto kNozzleRows = std::to_array<Row<NozzleSpec>>({
    {"height_um", &NozzleSpec::height_um, "um", 0, 1'000'000, kMustBeGiven, "nozzle above the rim"},
    {"jet_diameter_um", &NozzleSpec::jet_diameter_um, "um", 100, 100'000, kMustBeGiven, "of the liquid jet"},
    {"jet_speed_um_per_s", &NozzleSpec::jet_speed_um_per_s, "um/s", 1'000, 50'000'000, kMustBeGiven, "of the liquid as it leaves the nozzle"},
    {"lateral_um", &NozzleSpec::lateral_um, "um", -500'000, 500'000, 0, "the nozzle's axis beside the line of the container centres"},
});

inline constexpr auto kLossesRows = std::to_array<Row<LossesSpec>>({
    {"flash_percent", &LossesSpec::flash_percent, "%", 0, 99, kMustBeGiven, "liquid that flashes at the valve"},
    {"flight_percent", &LossesSpec::flight_percent, "%", 0, 99, kMustBeGiven, "liquid that boils off in flight"},
    {"splash_percent", &LossesSpec::splash_percent, "%", 0, 99, kMustBeGiven, "liquid that splashes away on the drink"},
});

inline constexpr auto kBoilOffRows = std::to_array<Row<BoilOffSpec>>({
    {"tau_belt_s", &BoilOffSpec::tau_belt_s, "s", 0.1, 10'000, kMustBeGiven, "time constant of the boil-off from landing to lid"},
    {"tau_lid_s", &BoilOffSpec::tau_lid_s, "s", 0.1, 10'000, kMustBeGiven, "time constant from lid to seam"},
    {"exponent", &BoilOffSpec::exponent, "1", 0, 1, 1, "1: puddle, 2/3: drops, 0: a wetted area that stays the same"},
    {"reference_mg", &BoilOffSpec::reference_mg, "mg", 0.1, 1'000'000, kMustBeGiven, "mass at which the time constants hold"},
    {"sd_percent", &BoilOffSpec::sd_percent, "%", 0, 50, 0, "standard deviation of the boil-off, container by container"},
});

inline constexpr auto kHeadspaceRows = std::to_array<Row<HeadspaceSpec>>({
    {"sweep_efficiency", &HeadspaceSpec::sweep_efficiency, "1", 0, 5, kMustBeGiven, "air driven out by boiling nitrogen; 1 is well mixed"},
    {"cold_gas_k", &HeadspaceSpec::cold_gas_k, "K", 78, 320, kMustBeGiven, "what the headspace gas would cool to under endless boil-off"},
    {"gas_sd_k", &HeadspaceSpec::gas_sd_k, "K", 0, 50, 0, "standard deviation of its temperature at the seam"},
    {"air_ingress_ml_per_s", &HeadspaceSpec::air_ingress_ml_per_s, "ml/s", 0, 1'000, kMustBeGiven, "air mixed in while the container is open"},
    {"lid_flush_percent", &HeadspaceSpec::lid_flush_percent, "%", 0, 100, 0, "share of the headspace that a flush under the lid replaces"},
});

inline constexpr auto kGateRows = std::to_array<Row<GateSpec>>({
    {"delay_us", &GateSpec::delay_us, "us", 0, 10'000'000, kMustBeGiven, "from the reject command to the gate's movement"},
    {"confirm_delay_us", &GateSpec::confirm_delay_us, "us", 0, 10'000'000, 0, "from removal to the confirm eye's signal; 0: not wired"},
    {"bin_holds", &GateSpec::bin_holds, "1", 0, 1'000'000, 0, "rejects after which the bin says that it is full; 0: endless"},
    {"bin_spare", &GateSpec::bin_spare, "1", 0, 1'000'000, 0, "so many more fit in, then the gate removes none until the bin is emptied"},
});

inline constexpr auto kControlsRows = std::to_array<Row<ControlsSpec>>({
    {"line_pulse_pitch_um", &ControlsSpec::line_pulse_pitch_um, "um", 0, 1'000'000, 0, "belt travel per line pulse; 0: the line has no pulse"},
    {"line_stop_reaction_us", &ControlsSpec::line_stop_reaction_us, "us", 0, kMinuteUs, 0, "the line stops this long after losing the line permit; 0: not wired"},
    {"lid_sensor", &ControlsSpec::lid_sensor, "", 0, 1, 0, "the lid present signal is wired; locked transport only"},
    {"filler_signal", &ControlsSpec::filler_signal, "", 0, 1, 0, "the filler running signal follows the filler; else it is on from power-up"},
    {"seamer_signal", &ControlsSpec::seamer_signal, "", 0, 1, 0, "the seamer running signal follows the seamer; else it is on from power-up"},
    {"downstream_signal", &ControlsSpec::downstream_signal, "", 0, 1, 0, "the downstream full signal is wired"},
});

inline constexpr auto kSpeedRows = std::to_array<Row<SpeedKnot>>({
    {"at_us", &SpeedKnot::at, "us", 0, kWeekUs, kMustBeGiven, "moment of this speed; straight from one to the next; the first is 0"},
    {"containers_per_min", &SpeedKnot::containers_per_min, "1/min", 0, 6'000, kMustBeGiven, "line speed at that moment, as places for containers"},
});

inline constexpr auto kStopRows = std::to_array<Row<LineStop>>({
    {"at_us", &LineStop::at, "us", 0, kWeekUs, kMayBeAbsent, "the run permit falls; or per_hour"},
    {"for_us", &LineStop::lasts, "us", 1, kWeekUs, kMustBeGiven, "until it returns"},
    {"coast_us", &LineStop::coast, "us", 0, kMinuteUs, kMustBeGiven, "a moving belt comes to rest within this"},
    {"ramp_us", &LineStop::ramp, "us", 0, kMinuteUs, kMustBeGiven, "from the permit's return to full speed"},
    {"per_hour", &LineStop::per_hour, "1/h", 0, 3'600, 0, "so many an hour, at random moments; or at_us"},
    {"for_us_max", &LineStop::lasts_max, "us", 0, kWeekUs, 0, "at random moments: each lasts between for_us and this; 0: all last for_us"},
});

inline constexpr auto kChatterRows = std::to_array<Row<SensorChatter>>({
    {"share_ppm", &SensorChatter::share_ppm, "ppm", 0, 1'000'000, kMustBeGiven, "containers that arrive with drops of drink on the sensor"},
    {"edges", &SensorChatter::edges, "1", 2, 100, kMustBeGiven, "extra changes of its level, an even number"},
    {"gap_us", &SensorChatter::gap, "us", 1, 1'000'000, kMustBeGiven, "between two of them"},
});

inline constexpr auto kHappensRows = std::to_array<Row<Happenings>>({
    {"missing_share_ppm", &Happenings::missing_share_ppm, "ppm", 0, 1'000'000, 0, "containers that the filler does not release, at random"},
    {"sensor_drift_um_per_h", &Happenings::sensor_drift_um_per_h, "um/h", -1'000'000, 1'000'000, 0, "the container sensor moves along the travel, from the start on"},
});

inline constexpr auto kSuiteRows = std::to_array<Row<Scenario>>({
    {"long", &Scenario::is_long, "", 0, 1, 0, "it takes long: a suite runs it only with --long"},
});

inline constexpr auto kRunRows = std::to_array<Row<PlantSpec>>({
    {"feed_us", &PlantSpec::feed, "us", 1, kWeekUs, kMustBeGiven, "the filler releases containers this long; then the line runs empty"},
});

inline constexpr auto kContainerLimitRows = std::to_array<Row<ContainerLimits>>({
    {"judge_c", &ContainerLimits::judge_c, "C", 0, 80, 20, "temperature of the equilibrium and prompt pressure"},
    {"hot_c", &ContainerLimits::hot_c, "C", 0, 80, 60, "temperature of the hot pressures"},
    {"equilibrium_kpa_min", &ContainerLimits::equilibrium_pa_min, "kPa", -101, 10'000, kMayBeAbsent, "least equilibrium pressure at judge_c, gauge", 1'000},
    {"equilibrium_kpa_max", &ContainerLimits::equilibrium_pa_max, "kPa", -101, 10'000, kMayBeAbsent, "most", 1'000},
    {"prompt_kpa_max", &ContainerLimits::prompt_pa_max, "kPa", 0, 10'000, kMayBeAbsent, "most prompt pressure at judge_c, gauge: all nitrogen boiled, none dissolved yet", 1'000},
    {"hot_equilibrium_kpa_max", &ContainerLimits::hot_equilibrium_pa_max, "kPa", 0, 10'000, kMayBeAbsent, "most equilibrium pressure at hot_c, gauge", 1'000},
    {"captured_percent_min", &ContainerLimits::captured_ppm_min, "%", 0, 100, 0, "least share of its liquid that must land in the opening", 10'000},
    {"landing_offset_um_max", &ContainerLimits::landing_offset_um_max, "um", 0, 1'000'000, kMayBeAbsent, "most distance of the streak's middle from the centre"},
    {"oxygen_percent_max", &ContainerLimits::oxygen_ppm_max, "%", 0, 100, kMayBeAbsent, "most oxygen in the headspace at the seam, by volume, dry", 10'000},
    {"tpo_ppb_max", &ContainerLimits::tpo_ppb_max, "ug/kg", 0, 1'000'000, kMayBeAbsent, "most total package oxygen, per mass of drink"},
    {"wait_us_min", &ContainerLimits::wait_us_min, "us", 0, 10 * kMinuteUs, 0, "least time from landing to seam"},
    {"wait_us_max", &ContainerLimits::wait_us_max, "us", 0, 10 * kMinuteUs, kMayBeAbsent, "most time from landing to seam"},
});

/// Its default is the container's own: rating_kpa / rating_safety_factor.
inline constexpr Row<ContainerLimits> kHotPromptRow{"hot_prompt_kpa_max", &ContainerLimits::hot_prompt_pa_max, "kPa", 0, 10'000, kMayBeAbsent, "most prompt pressure at hot_c, gauge; default: container.rating_kpa / container.rating_safety_factor", 1'000};

inline constexpr auto kRunLimitRows = std::to_array<Row<RunLimits>>({
    {"escapes_max", &RunLimits::escapes_max, "1", 0, 1e9, 0, "bad containers on the good side of the gate"},
    {"false_rejects_percent_max", &RunLimits::false_rejects_percent_max, "%", 0, 100, kMayBeAbsent, "good containers removed"},
    {"removed_percent_max", &RunLimits::removed_percent_max, "%", 0, 100, kMayBeAbsent, "containers removed, good or bad"},
    {"containers_min", &RunLimits::containers_min, "1", 0, 1e9, kMayBeAbsent, "containers that the run must have had"},
    {"permit_reaction_us_max", &RunLimits::permit_reaction_us_max, "us", 0, kMinuteUs, kMayBeAbsent, "from the run permit lost to the valve commanded closed"},
    {"safety_reaction_us_max", &RunLimits::safety_reaction_us_max, "us", 0, kMinuteUs, kMayBeAbsent, "from the safety chain opened to the valve commanded closed"},
    {"safety_closed_us_max", &RunLimits::safety_closed_us_max, "us", 0, kMinuteUs, kMayBeAbsent, "from the safety chain opened to the valve really closed"},
    {"safety_landed_us_max", &RunLimits::safety_landed_us_max, "us", 0, kMinuteUs, kMayBeAbsent, "from the safety chain opened to the last liquid landed"},
    {"valve_open_us_max", &RunLimits::valve_open_us_max, "us", 0, 10 * kMinuteUs, kMayBeAbsent, "longest real opening of the valve"},
    {"stuck_shots_max", &RunLimits::stuck_shots_max, "1", 0, 1e9, kMayBeAbsent, "commands that the valve did not follow within the recipe's valve_feedback_us_max, or 100000 us where that is 0"},
    {"undosed_max", &RunLimits::undosed_max, "1", 0, 1e9, kMayBeAbsent, "containers that no shot met, removed or not"},
    {"double_dosed_max", &RunLimits::double_dosed_max, "1", 0, 1e9, kMayBeAbsent, "containers that more than one shot met, removed or not"},
    {"dose_error_percent_max", &RunLimits::dose_error_percent_max, "%", 0, 1'000, kMayBeAbsent, "a dose that landed, off dose_ug times the wait curve at the wait it really had, less the line's losses; dosed containers on the good side"},
    {"dose_error_mean_percent_max", &RunLimits::dose_error_mean_percent_max, "%", 0, 1'000, kMayBeAbsent, "the same, mean of all containers at one place"},
    {"nitrogen_g_max", &RunLimits::nitrogen_g_max, "g", 0, 1e9, kMayBeAbsent, "nitrogen through the valve, what missed included"},
    {"recipes_taken_min", &RunLimits::recipes_taken_min, "1", 0, 1e6, kMayBeAbsent, "recipes that the controller must have taken, the first included; one taken right after another shows no change and is not counted"},
    {"recipes_refused_min", &RunLimits::recipes_refused_min, "1", 0, 1e6, kMayBeAbsent, "recipes that it must have refused"},
    {"exposed_min", &RunLimits::exposed_min, "1", 0, 1e9, kMayBeAbsent, "containers that a disturbance must have met, else the run proves nothing"},
});

inline constexpr PlainKey kNameKey{"name", "one line of text", "the file's name without its ending", "short name in reports"};
inline constexpr PlainKey kTitleKey{"title", "one line of text", nullptr, "what the scenario is, for people"};
inline constexpr PlainKey kReasonKey{"reason", "one line of text", "none", "why the scenario exists, in one sentence; must be given unless the claim is steady"};
inline constexpr PlainKey kClaimKey{"claim", "steady, handled, escape, trial, lost", "steady", "steady: nothing goes wrong; handled: what goes wrong can be sensed and nothing bad leaves; escape: no sensor can tell, so it must fail; trial: no model can say, so it must be inconclusive; lost: the link fails, so it must be too"};
inline constexpr PlainKey kSeedKey{"seed", "0..18446744073709551615", "1", "all chance of the run follows from it"};
inline constexpr PlainKey kLineTransportKey{"transport", "locked, queued", nullptr, "from nozzle to seam: the position follows the belt, or first in, first out"};
inline constexpr PlainKey kFillerKindKey{"kind", "rotary, inline", nullptr, "one stream, or heads released together"};
inline constexpr PlainKey kSpeedKey{"speed", "a list of {at_us, containers_per_min}, or {log: file.csv}", nullptr, "line speed over time"};
inline constexpr PlainKey kSpeedLogKey{"log", "a CSV file: time_s,speed_per_min", nullptr, "a recorded speed, in place of the list; the path is relative to the file it is named in"};
inline constexpr PlainKey kStopsKey{"stops", "a list of {at_us, for_us, coast_us, ramp_us} or {per_hour, for_us, for_us_max, coast_us, ramp_us}", "none", "line stops: those at a moment in time order, inside feed_us, not overlapping"};
inline constexpr PlainKey kHeadsMissingKey{"heads_missing", "a rising list of heads, 1 is nearest the seamer", "none", "inline heads that release nothing"};
inline constexpr PlainKey kMustReachKey{"must_reach", "a list of counters of the controller", "none", "counters that must have counted, else the run fails"};
inline constexpr PlainKey kFaultsMustKey{"faults_must", "a list of names of faults", "none", "alarms that must have been raised, else the run fails"};
inline constexpr PlainKey kFaultsMustNotKey{"faults_must_not", "a list of names of faults", "none", "alarms that must never have been raised"};
inline constexpr PlainKey kApprovalsKey{"approvals", "a map from keys of limits (those of expect, rating_kpa, rating_safety_factor) to maps", "none", "who stands for each limit; a report's sign-off table shows every limit, and what has no owner as not approved"};
inline constexpr PlainKey kApprovalOwnerKey{"owner", "container maker, brand quality, safety, machine safety, integrator", "none", "whose the limit is; none: it is not approved"};
inline constexpr PlainKey kApprovalDocumentKey{"document", "one line of text", "none", "the document that it stands in"};
inline constexpr PlainKey kApprovalDateKey{"date", "YYYY-MM-DD", "none", "when it was approved"};
inline constexpr PlainKey kApprovalSignatureKey{"signature", "one line of text", "none", "name of who signed"};
inline constexpr PlainKey kAlarmKey{"alarm", "the name of a fault", "none", "the alarm that must be latched at the end"};
// clang-format on

}  // namespace rimebench
