#include "firmware_sim/core/recipe.hpp"

#include "firmware_sim/core/defects.hpp"
#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

/// A curve's list: as many entries as `points` strictly rises are in use, the rest must be 0.
struct CurveList {
  Parameter list;
  Parameter points;
  bool rising;
};
constexpr auto kCurveLists = std::to_array<CurveList>({
    {Parameter::kOpenCurveUg, Parameter::kOpenCurveUg, true},
    {Parameter::kOpenCurveUs, Parameter::kOpenCurveUg, true},
    {Parameter::kWaitCurveUs, Parameter::kWaitCurveUs, true},
    {Parameter::kWaitCurvePpm, Parameter::kWaitCurveUs, false},
    {Parameter::kHeadCurvePa, Parameter::kHeadCurvePa, true},
    {Parameter::kHeadCurvePpm, Parameter::kHeadCurvePa, false},
});

/// First slot of the list that is out of order; kParameterSlots if none is.
int first_out_of_order(const RecipeValues& values, const CurveList& curve) {
  const int used = rising_entries(values, curve.points);
  for (int entry = 0; entry < kCurvePoints; ++entry) {
    const std::int32_t value = values.get(curve.list, entry);
    if (entry >= used && value != 0) return slot(curve.list, entry);
    if (entry == 0 || entry >= used || !curve.rising) continue;
    if (value <= values.get(curve.list, entry - 1)) return slot(curve.list, entry);
  }
  return kParameterSlots;
}

int first_out_of_range(const RecipeValues& values) {
  for (int index = 0; index < kParameterSlots; ++index) {
    const SlotRange range = kSlotRanges[static_cast<unsigned>(index)];
    const std::int32_t value = values.at_slot(index);
    if (value < range.min || value > range.max) return index;
  }
  return kParameterSlots;
}

int first_refused_slot(const RecipeValues& values) {
  int first = first_out_of_range(values);
  for (const CurveList& curve : kCurveLists) {
    const int out_of_order = first_out_of_order(values, curve);
    if (out_of_order < first) first = out_of_order;
  }
  return first;
}

Duration at_least_1us(std::int32_t us) { return {us > 0 ? us : 1}; }

/// No shot is planned longer than this, in range or not.
Duration longest_shot(const Recipe& recipe) {
  if (recipe.open_curve.empty()) return recipe.open_min;
  const Curve& heads = recipe.supply.head_curve;
  const std::int64_t gain = heads.empty() ? kPpm : heads.most();
  const Duration most{mul_div_floor(recipe.open_curve.last(), gain, kPpm)};
  if (most < recipe.open_min) return recipe.open_min;
  return most < recipe.open_max ? most : recipe.open_max;
}

/// What the dosing head is allowed and asked; the limits of a shot are read already.
void read_head(const RecipeValues& values, Recipe& recipe) {
  const auto time = [&](Parameter p) { return Duration{values.get(p)}; };
  recipe.start = {.purge = time(Parameter::kPurgeUs),
                  .cool_down_max = time(Parameter::kCoolDownUsMax),
                  .cold_hold = time(Parameter::kColdHoldUs),
                  .test_shots = values.get(Parameter::kTestShotsAtStart)};
  recipe.supply = {.body_temperature_mk_max = values.get(Parameter::kBodyTemperatureMkMax),
                   .level_um_min = values.get(Parameter::kSupplyLevelUmMin),
                   .head_curve = Curve(values, Parameter::kHeadCurvePa, Parameter::kHeadCurvePpm),
                   .head_out_max = time(Parameter::kHeadOutUsMax)};
  recipe.idle = {.idle_max = time(Parameter::kIdleUsMax),
                 .unsteady_count = values.get(Parameter::kUnsteadyCount),
                 .period = time(Parameter::kIdlePeriodUs)};
  const bool feedback = values.get(Parameter::kValveFeedbackUsMax) > 0;
  recipe.slow = {.after = feedback ? time(Parameter::kValveSlowUs) : 0_us,
                 .count_max = values.get(Parameter::kValveSlowCountMax)};
  recipe.cool_down_open = time(Parameter::kCoolDownOpenUs);
  recipe.cool_down_period = time(Parameter::kCoolDownPeriodUs);
  recipe.test_open = time(Parameter::kTestOpenUs);
  recipe.test_period = time(Parameter::kTestPeriodUs);
  recipe.nozzle_clear = {values.get(Parameter::kNozzleClearUm)};
  recipe.room_oxygen_ppm_min = values.get(Parameter::kRoomOxygenPpmMin);
  recipe.guard = {recipe.open_min,       recipe.open_max,  time(Parameter::kValveFeedbackUsMax),
                  recipe.cool_down_open, recipe.test_open, recipe.stream_max};
  recipe.open_budget = {time(Parameter::kOpenBudgetUs), values.get(Parameter::kOpenSharePpm)};
  // Without an open time there is no test shot to wait for.
  if (recipe.test_open == 0_us) recipe.start.test_shots = 0;
}

}  // namespace

void RecipeStage::take(Channel channel, std::int32_t value) {
  if (channel == Channel::kRecipeCommit) {
    commit_pending_ = value != 0 && value != commit_;
    commit_ = value;
    return;
  }
  const int index = number(channel) - number(Channel::kRecipeFirst);
  if (0 <= index && index < kParameterSlots) values_.set_slot(index, value);
}

std::int32_t RecipeStage::take_commit(Mode mode) {
  commit_pending_ = false;
  if (mode != Mode::kStopped && mode != Mode::kIdle) return kRecipeRefusedRunning;
  if (commit_ != values_.commit_value()) return kRecipeRefusedChecksum;
  const int refused = first_refused_slot(values_);
  return refused == kParameterSlots ? kRecipeAccepted : kRecipeRefusedSlot - refused;
}

Recipe::Recipe(const RecipeValues& values) {
  const auto length = [&](Parameter p) { return Length{values.get(p)}; };
  const auto time = [&](Parameter p) { return Duration{values.get(p)}; };

  take_checks(values);
  take_stream(values);
  pulse_pitch = length(Parameter::kLinePulsePitchUm);
  line_speed = {values.get(Parameter::kLineSpeedUmPerS)};
  speed_min = {values.get(Parameter::kSpeedMinUmPerS)};

  sensor_latency = time(Parameter::kSensorLatencyUs);
  debounce = kDefectNoDebounce ? 0_us : time(Parameter::kDebounceUs);
  edge_to_centre = length(Parameter::kEdgeToCentreUm);
  width_min = length(Parameter::kContainerWidthMinUm);
  width_max = length(Parameter::kContainerWidthMaxUm);
  pitch_min = length(Parameter::kPitchMinUm);

  place_source = static_cast<PlaceSource>(values.get(Parameter::kPlaceSource));
  place_count = values.get(Parameter::kPlaceCount);
  head_pitch = length(Parameter::kHeadPitchUm);
  group_start_to_group = length(Parameter::kGroupStartToSensorUm) - Length{head_pitch.raw / 2};

  dose = {values.get(Parameter::kDoseUg)};
  wait_source = static_cast<WaitSource>(values.get(Parameter::kWaitSource));
  wait_fixed = time(Parameter::kWaitFixedUs);
  for (int place = 0; place < kPlaces; ++place) {
    place_wait[static_cast<unsigned>(place)] = {values.get(Parameter::kPlaceWaitUs, place)};
  }
  wait_curve = Curve(values, Parameter::kWaitCurveUs, Parameter::kWaitCurvePpm);
  open_curve = Curve(values, Parameter::kOpenCurveUg, Parameter::kOpenCurveUs);
  open_min = time(Parameter::kOpenUsMin);
  open_max = time(Parameter::kOpenUsMax);

  read_head(values, *this);
  sensor_to_nozzle = length(Parameter::kSensorToNozzleUm);
  landing_late_max = length(Parameter::kLandingLateMaxUm);
  landing_error_max = length(Parameter::kLandingErrorMaxUm);
  flight = kDefectNoFlight ? 0_us : time(Parameter::kFlightUs);
  valve_delays = time(Parameter::kValveOpenDelayUs) + time(Parameter::kValveCloseDelayUs);
  lead_max = shot_lead(*this, longest_shot(*this));
  rest_min = at_least_1us(values.get(Parameter::kRestUsMin));

  transport = static_cast<Transport>(values.get(Parameter::kTransport));
  nozzle_to_seam = length(Parameter::kNozzleToSeamUm);
  sensor_to_seam = sensor_to_nozzle + nozzle_to_seam;
  seam_to_discharge = time(Parameter::kSeamToDischargeUs);
  wait_error_max = time(Parameter::kWaitErrorMaxUs);
  to_gate = length(transport == Transport::kLocked ? Parameter::kSensorToGateUm
                                                   : Parameter::kDischargeToGateUm);
}

/// What bounds and checks the rest: speeds, pulses, groups, seamer, gate.
void Recipe::take_checks(const RecipeValues& values) {
  const auto length = [&](Parameter p) { return Length{values.get(p)}; };
  const auto time = [&](Parameter p) { return Duration{values.get(p)}; };

  speed_max = {values.get(Parameter::kSpeedMaxUmPerS)};
  acceleration_max = values.get(Parameter::kAccelerationMaxUmPerS2);
  implausible_max = values.get(Parameter::kImplausibleRowMax);
  pitch = length(Parameter::kPitchUm);
  pitch_error_max = length(Parameter::kPitchErrorMaxUm);
  pulse_jump_max = values.get(Parameter::kPulseJumpMaxPpm);
  pulse_max = time(Parameter::kPulseUsMax);
  sensor_high_max = length(Parameter::kSensorHighUmMax);
  sensor_low_max = length(Parameter::kSensorLowUmMax);

  group_gap = length(Parameter::kGroupGapUm);
  group_size_min = values.get(Parameter::kGroupSizeMin);
  group_check = values.get(Parameter::kGroupCheck) != 0;

  seamer_to_seam = time(Parameter::kSeamerToSeamUs);
  seamer_cycle = time(Parameter::kSeamerCycleUs);
  seamer_cycle_min = time(Parameter::kSeamerCycleUsMin);
  seamer_cycle_max = time(Parameter::kSeamerCycleUsMax);
  discharge_gap = time(Parameter::kDischargeGapUs);

  gate_before = length(Parameter::kGateBeforeUm);
  gate_after = length(Parameter::kGateAfterUm);
  reject_neighbours = values.get(Parameter::kRejectNeighbours);
  confirm_max = time(Parameter::kRejectConfirmUsMax);
  unconfirmed_max = values.get(Parameter::kRejectUnconfirmedMax);
  gate_signals = values.get(Parameter::kGateSignals) != 0;
}

void Recipe::take_stream(const RecipeValues& values) {
  const auto time = [&](Parameter p) { return Duration{values.get(p)}; };
  // A stream without a longest time is never begun.
  const bool limited = values.get(Parameter::kStreamUsMax) > 0;
  stream_enter = {limited ? values.get(Parameter::kStreamEnterUmPerS) : 0};
  // A belt that stands is in no stream.
  const std::int32_t leave = values.get(Parameter::kStreamLeaveUmPerS);
  stream_leave = {leave > 0 ? leave : 1};
  stream_gap = time(Parameter::kStreamGapUs);
  stream_max = time(Parameter::kStreamUsMax);
  stream_flow = values.get(Parameter::kStreamFlowUgPerS);
  opening = {values.get(Parameter::kOpeningUm)};
  stream_dose_error_max = values.get(Parameter::kStreamDoseErrorMaxPpm);
  const Duration flight_time = kDefectNoFlight ? 0_us : time(Parameter::kFlightUs);
  stream_open_lead = flight_time + time(Parameter::kValveOpenDelayUs);
  stream_close_lead = flight_time + time(Parameter::kValveCloseDelayUs);
}

Duration shot_lead(const Recipe& recipe, Duration open) {
  return recipe.flight + halved_floor(recipe.valve_delays + open);
}

}  // namespace rimebench
