#include "harness/judge/sensed.hpp"

namespace rimebench {

bool sensed(const LedgerRow& row, const LineSpec& line) {
  const bool pulses = line.controls.line_pulse_pitch_um > 0;
  const bool discharge = line.stations.discharge_um > 0;
  switch (static_cast<Cause>(row.cause)) {
    case Cause::kNone:
      return false;
    case Cause::kNoDose:  // it counts its own shots
      return true;
    case Cause::kLanding:
      return pulses;
    case Cause::kWait:
      return line.transport == Transport::kLocked ? pulses : discharge;
    case Cause::kFill:    // nothing weighs the drink,
    case Cause::kDose:    // or a shot,
    case Cause::kOxygen:  // or looks into the headspace
      return false;
    case Cause::kCount:
      break;
  }
  return false;
}

}  // namespace rimebench
