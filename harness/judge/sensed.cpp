#include "harness/judge/sensed.hpp"

#include "plant_model/spec/befell.hpp"

namespace rimebench {

namespace {

/// What nothing on any line tells a controller: another container of the same diameter, a sensor
/// that is not where the recipe has it.
constexpr std::int64_t kUntold =
    befell_bit(Befell::kWrongContainer) | befell_bit(Befell::kSensorDrift);
constexpr std::int64_t kNotShown = befell_bit(Befell::kUnseen) | befell_bit(Befell::kSensorStuck);
constexpr std::int64_t kSupplyBits = befell_bit(Befell::kVapour) | befell_bit(Befell::kLowHead);
/// Moves a container otherwise than its sensor and a fixed delay have it, and no permit tells.
constexpr std::int64_t kMovedOtherwise =
    befell_bit(Befell::kCreep) | befell_bit(Befell::kSpeedStep) | befell_bit(Befell::kHunting) |
    befell_bit(Befell::kJog) | befell_bit(Befell::kReverse) | befell_bit(Befell::kSlip);

/// A jet that ice throws aside, from a valve that moves as it should.
bool thrown_aside(const LedgerRow& row, const PlantSpec& plant) {
  for (const ValveTrouble& one : plant.happens.valve) {
    const Instant landing{row.landing_us};
    if (one.kind != ValveTroubleKind::kDeflected) continue;
    if (one.at <= landing && landing < one.at + one.lasts) return true;
  }
  return false;
}

/// The controller counts its own shots and pulses tell where they land; a second sensor tells of a
/// container that the first did not show; only feedback tells of a valve that did not open.
bool missing_shot_sensed(const LedgerRow& row, const LineSpec& line) {
  if ((row.befell & kNotShown) != 0) {
    return line.stations.discharge_um > 0 || line.controls.lid_sensor;
  }
  if (has_befallen(row.befell, Befell::kValveTrouble)) return line.valve.feedback_delay_us > 0;
  return line.controls.line_pulse_pitch_um > 0 || (row.befell & kMovedOtherwise) == 0;
}

bool landing_sensed(const LedgerRow& row, const PlantSpec& plant) {
  if (plant.line.controls.line_pulse_pitch_um == 0 || thrown_aside(row, plant)) return false;
  return !has_befallen(row.befell, Befell::kValveTrouble) || plant.line.valve.feedback_delay_us > 0;
}

}  // namespace

bool sensed(const LedgerRow& row, const PlantSpec& plant) {
  const LineSpec& line = plant.line;
  const bool pulses = line.controls.line_pulse_pitch_um > 0;
  const bool discharge = line.stations.discharge_um > 0;
  if ((row.befell & kUntold) != 0) return false;
  switch (static_cast<Cause>(row.cause)) {
    case Cause::kNone:
      return false;
    case Cause::kNoDose:
      return missing_shot_sensed(row, line);
    case Cause::kDoubleDose:
      return true;
    case Cause::kLanding:
      return landing_sensed(row, plant);
    case Cause::kWait:
      return line.transport == Transport::kLocked ? pulses : discharge;
    case Cause::kDose:  // nothing weighs a shot, but head and body may be measured
      return (row.befell & kSupplyBits) != 0 && line.supply && line.supply->sample_us > 0;
    case Cause::kFill:    // nothing weighs the drink
    case Cause::kOxygen:  // or looks into the headspace
      return false;
    case Cause::kCount:
      break;
  }
  return false;
}

}  // namespace rimebench
