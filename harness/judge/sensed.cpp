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

}  // namespace

bool sensed(const LedgerRow& row, const LineSpec& line) {
  const bool pulses = line.controls.line_pulse_pitch_um > 0;
  const bool discharge = line.stations.discharge_um > 0;
  if ((row.befell & kUntold) != 0) return false;
  switch (static_cast<Cause>(row.cause)) {
    case Cause::kNone:
      return false;
    case Cause::kNoDose:  // it counts its own shots, and a second sensor what the first missed
      return (row.befell & kNotShown) == 0 || discharge || line.controls.lid_sensor;
    case Cause::kDoubleDose:
      return true;
    case Cause::kLanding:
      return pulses;
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
