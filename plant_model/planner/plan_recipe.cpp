#include "plant_model/planner/plan_recipe.hpp"

#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/parameter_table.hpp"

namespace rimebench {

namespace {

constexpr double kUs = 1e6;
constexpr double kUgPerKg = 1e9;
constexpr double kPpm = 1e6;
constexpr std::int64_t kDebounceMostUs = 3'000;
constexpr std::int64_t kLandingLateMostUm = 5'000;
constexpr std::int64_t kRestUs = 5'000;
constexpr std::int64_t kWaitErrorLeastUs = 50'000;
constexpr double kWaitErrorMostS = 10.0;
/// Share of the step between two places that a wait may be off and still be surely its own.
constexpr double kStepShare = 0.875;
/// A line may run this much faster than planned.
constexpr double kFasterShare = 1.25;
/// Room above the largest planned shot before the guard closes the valve.
constexpr double kOpenHeadroom = 1.25;
constexpr int kOpenCurvePoints = 5;
constexpr double kWidthShareMin = 0.75;
constexpr double kWidthShareMax = 1.25;
constexpr double kPitchShareMin = 0.85;
constexpr double kGateShare = 0.3;
constexpr std::int64_t kFeedbackMarginUs = 5'000;

std::int64_t whole(double value) { return static_cast<std::int64_t>(std::llround(value)); }
std::int32_t rounded(double value) { return static_cast<std::int32_t>(whole(value)); }

/// Writes the recipe of one plan.
class Writer {
 public:
  Writer(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan)
      : spec_(spec), packs_(packs), plan_(plan) {}

  void write() {
    for (const ParameterRow& row : kParameterTable) {
      if (row.entries == 1 && row.default_value != kRequired) {
        recipe_.set(row.parameter, row.default_value);
      }
    }
    geometry();
    sensor();
    valve();
    waits();
    places();
    gate();
    check_ranges();
    if (!any_refusal(plan_.notes)) plan_.recipe = recipe_;
  }

 private:
  void set(Parameter parameter, std::int64_t value) {
    recipe_.set(parameter, static_cast<std::int32_t>(value));
  }
  void set_entry(Parameter list, std::size_t entry, double value) {
    recipe_.set_slot(slot(list, static_cast<int>(entry)), rounded(value));
  }
  std::int64_t body_share(double share) const {
    return whole(share * static_cast<double>(spec_.container.body_um));
  }

  void geometry() {
    const StationsSpec& at = spec_.line.stations;
    const double speed_um = plan_.view.belt_m_per_s * kUs;
    set(Parameter::kLinePulsePitchUm, spec_.line.controls.line_pulse_pitch_um);
    set(Parameter::kLineSpeedUmPerS, whole(speed_um));
    set(Parameter::kSpeedMinUmPerS, whole(speed_um * spec_.checks.speed_min_percent / 100.0));
    set(Parameter::kSensorToNozzleUm, at.nozzle_um - at.sensor_um);
    set(Parameter::kNozzleToSeamUm, at.seam_um - at.nozzle_um);
    set(Parameter::kEdgeToCentreUm, spec_.container.body_um / 2);
  }

  void sensor() {
    set(Parameter::kSensorLatencyUs, spec_.line.sensor.on_delay_us);
    set(Parameter::kDebounceUs, debounce_us(spec_, plan_.view.belt_m_per_s));
    set(Parameter::kContainerWidthMinUm, body_share(kWidthShareMin));
    set(Parameter::kContainerWidthMaxUm, body_share(kWidthShareMax));
    set(Parameter::kPitchMinUm, body_share(kPitchShareMin));
  }

  double largest_open_s() const {
    double most = 0.0;
    for (const PlacePlan& place : plan_.places) most = std::max(most, place.shot.open_s);
    return most;
  }

  void valve() {
    const ValveSpec& valve = spec_.line.valve;
    double window_m = plan_.places.front().shot.window_m;
    for (const PlacePlan& place : plan_.places) window_m = std::min(window_m, place.shot.window_m);
    set(Parameter::kLandingLateMaxUm,
        std::clamp<std::int64_t>(whole(window_m * kUs), 0, kLandingLateMostUm));
    set(Parameter::kValveOpenDelayUs, valve.open_delay_us);
    set(Parameter::kValveCloseDelayUs, valve.close_delay_us);
    set(Parameter::kFlightUs, whole(plan_.view.to_drink_s * kUs));
    const double least_s = least_open_s(spec_);
    // A slower line waits longer and is dosed more, down to its least speed.
    const double slowest = doses_at_slowest();
    const double most_s = std::max(largest_open_s(), slowest) * kOpenHeadroom;
    set(Parameter::kOpenUsMin, whole(least_s * kUs));
    set(Parameter::kOpenUsMax, whole(most_s * kUs));
    set(Parameter::kRestUsMin, kRestUs);
    if (valve.feedback_delay_us > 0) {
      set(Parameter::kValveFeedbackUsMax, std::max(valve.open_delay_us, valve.close_delay_us) +
                                              valve.feedback_delay_us + 6 * valve.jitter_sd_us +
                                              kFeedbackMarginUs);
    }
    open_curve(least_s, most_s);
  }

  void open_curve(double least_s, double most_s) {
    for (int i = 0; i < kOpenCurvePoints; ++i) {
      const double open_s = least_s + (most_s - least_s) * i / (kOpenCurvePoints - 1);
      const double kg = nozzle_kg_for(spec_, plan_.view.jet, open_s);
      set_entry(Parameter::kOpenCurveUg, static_cast<std::size_t>(i), kg * kUgPerKg);
      set_entry(Parameter::kOpenCurveUs, static_cast<std::size_t>(i), open_s * kUs);
    }
  }

  bool by_speed() const {
    return spec_.line.transport == Transport::kLocked &&
           spec_.line.controls.line_pulse_pitch_um > 0;
  }

  /// Mass at the nozzle that meets the target after a wait; 0 where no dose does.
  double nozzle_kg(double wait_s) const {
    const auto landed = packs_.landed_for_target(split_wait(spec_, wait_s));
    return landed ? shot_for(spec_, plan_.view, *landed).nozzle_kg : 0.0;
  }

  double longest_wait_s() const {
    double most = 0.0;
    for (const PlacePlan& place : plan_.places) most = std::max(most, place.wait.expected.total());
    return by_speed() ? most * 100.0 / spec_.checks.speed_min_percent : most;
  }

  double doses_at_slowest() const {
    return open_s_for(spec_, plan_.view.jet, nozzle_kg(longest_wait_s()));
  }

  /// Waits at which the curve is exact: the planned ones above all.
  std::vector<double> curve_waits() const {
    std::vector<double> waits{0.0};
    const double nominal = plan_.places.front().wait.expected.total();
    if (!plan_.ramp_needed) {
      if (by_speed()) waits.push_back(nominal / kFasterShare);
      waits.push_back(nominal);
      const double last = by_speed() ? longest_wait_s() : 2.0 * nominal;
      const int more = kCurvePoints - static_cast<int>(waits.size());
      for (int i = 1; i <= more; ++i) waits.push_back(nominal + (last - nominal) * i / more);
      return waits;
    }
    const auto count = static_cast<int>(plan_.places.size());
    const int exact = std::min(count, kCurvePoints - 2);
    for (int i = 0; i < exact; ++i) {
      const int place = exact == 1 ? 0 : i * (count - 1) / (exact - 1);
      const double wait = plan_.places[static_cast<std::size_t>(place)].wait.expected.total();
      if (wait > waits.back() + 1e-3) waits.push_back(wait);
    }
    waits.push_back(1.3 * waits.back());
    return waits;
  }

  /// Oxygen is driven out by what boils before the lid: a longer wait never needs more, so one dose
  /// serves all, the largest.
  void one_dose() {
    double most = 0.0;
    for (const PlacePlan& place : plan_.places) most = std::max(most, place.shot.nozzle_kg);
    set(Parameter::kDoseUg, rounded(most * kUgPerKg));
  }

  void wait_curve() {
    const std::vector<double> at = curve_waits();
    const double base = nozzle_kg(0.0);
    set(Parameter::kDoseUg, rounded(base * kUgPerKg));
    for (std::size_t i = 0; i < at.size(); ++i) {
      set_entry(Parameter::kWaitCurveUs, i, at[i] * kUs);
      const double kg = nozzle_kg(at[i]);
      if (!(kg > 0.0) || !(base > 0.0)) return note_too_slow();
      const double ppm = kg / base * kPpm;
      set_entry(Parameter::kWaitCurvePpm, i, std::min(ppm, 2e9));
    }
  }

  void note_too_slow() {
    plan_.notes.push_back({Severity::kRefused, "checks.speed_min_percent",
                           "at the least speed the wait is so long that no dose reaches the target",
                           "a larger share of the planned speed"});
  }

  bool for_oxygen() const {
    return spec_.target.kind == TargetKind::kHeadspaceOxygen ||
           spec_.target.kind == TargetKind::kTotalOxygen;
  }

  void waits() {
    if (for_oxygen()) {
      one_dose();
    } else {
      wait_curve();
    }
    const double wait_s = plan_.places.front().wait.expected.total();
    const WaitSource source = plan_.ramp_needed ? WaitSource::kPlace
                              : by_speed()      ? WaitSource::kBeltSpeed
                                                : WaitSource::kFixed;
    set(Parameter::kWaitSource, static_cast<std::int64_t>(source));
    set(Parameter::kWaitFixedUs, whole(wait_s * kUs));
    set(Parameter::kWaitErrorMaxUs, std::max(kWaitErrorLeastUs, whole(wait_error_s() * kUs)));
  }

  /// How much a wait may be off before a pack leaves its tolerance, or is another place's.
  double wait_error_s() const {
    double least = kWaitErrorMostS;
    const PlacePlan* before = nullptr;
    for (const PlacePlan& place : plan_.places) {
      least = std::min(least, tolerated_s(place));
      if (before != nullptr && plan_.ramp_needed) {
        const double step = place.wait.expected.total() - before->wait.expected.total();
        if (step > 0.0) least = std::min(least, kStepShare * step);
      }
      before = &place;
    }
    return least;
  }

  double tolerated_s(const PlacePlan& place) const {
    if (!place.equilibrium_Pa) return 0.0;
    const auto lost_Pa = [&](double late_s) {
      Wait wait = place.wait.expected;
      wait.belt_s += late_s;
      const auto now = packs_.target_equilibrium_Pa(packs_.forward(place.pack.landed_kg, wait));
      return now ? *place.equilibrium_Pa - *now : 0.0;
    };
    const double tolerance = spec_.target.tolerance_kpa * 1000.0;
    const auto late =
        first_zero([&](double late_s) { return lost_Pa(late_s) - tolerance; }, kWaitErrorMostS);
    return late.value_or(kWaitErrorMostS);
  }

  void places() {
    if (!plan_.ramp_needed) return;
    const FillerSpec& filler = spec_.line.filler;
    set(Parameter::kPlaceSource, static_cast<std::int64_t>(spec_.checks.place_source));
    set(Parameter::kPlaceCount, static_cast<std::int64_t>(plan_.places.size()));
    for (std::size_t i = 0; i < plan_.places.size(); ++i) {
      set_entry(Parameter::kPlaceWaitUs, i, plan_.places[i].wait.expected.total() * kUs);
    }
    set(Parameter::kGroupStartToSensorUm,
        spec_.line.stations.sensor_um - spec_.container.body_um / 2);
    set(Parameter::kHeadPitchUm, filler.head_pitch_um);
  }

  void gate() {
    const StationsSpec& at = spec_.line.stations;
    set(Parameter::kTransport, static_cast<std::int64_t>(spec_.line.transport));
    if (spec_.line.transport == Transport::kQueued) {
      set(Parameter::kSeamToDischargeUs,
          spec_.line.seamer.discharge_us - spec_.line.seamer.seam_us);
      if (at.gate_um > 0) set(Parameter::kDischargeToGateUm, at.gate_um - at.discharge_um);
    } else if (at.gate_um > 0) {
      set(Parameter::kSensorToGateUm, at.gate_um - at.sensor_um);
    }
    const double moves_um = static_cast<double>(spec_.line.gate.delay_us) * plan_.view.belt_m_per_s;
    set(Parameter::kGateBeforeUm, whole(moves_um) + body_share(kGateShare));
    set(Parameter::kGateAfterUm, body_share(kGateShare));
  }

  void check_ranges() {
    for (const ParameterRow& row : kParameterTable) {
      for (int entry = 0; entry < row.entries; ++entry) {
        const std::int32_t value = recipe_.get(row.parameter, entry);
        if (value >= row.min && value <= row.max) continue;
        plan_.notes.push_back(
            {Severity::kRefused, std::string("recipe.") + row.key,
             std::to_string(value) + " is outside what the controller takes",
             std::to_string(std::clamp(value, row.min, row.max)) + ' ' + row.unit});
        break;
      }
    }
  }

  const PlanSpec& spec_;
  const PackPlan& packs_;
  DosePlan& plan_;
  RecipeValues recipe_;
};

}  // namespace

std::int64_t debounce_us(const PlanSpec& spec, double belt_m_per_s) {
  const double shows_us = static_cast<double>(spec.container.body_um) / belt_m_per_s;
  return std::min(kDebounceMostUs, whole(0.1 * shows_us));
}

void plan_recipe(const PlanSpec& spec, const PackPlan& packs, DosePlan& plan) {
  Writer(spec, packs, plan).write();
}

}  // namespace rimebench
