#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/core/nozzle_watch.hpp"

namespace rimebench {
namespace {

/// More than any calibration needs.
constexpr std::int32_t kTestShotsMax = 1'000;

bool room_oxygen_enough(const Inputs& inputs, std::int32_t least_ppm) {
  return least_ppm == 0 || inputs.sample(Channel::kRoomOxygen) >= least_ppm;
}

}  // namespace

/// Until the start has brought liquid to the head, that there is none is no fault.
Interlocks DoseController::interlocks() const {
  const bool brought_up =
      in_production(mode_) || (mode_ == Mode::kStarting && start_.phase() >= StartUp::Phase::kTest);
  const bool supply_due = brought_up || !recipe_.start.brings_up();
  // Where downstream full is heeded, a line with no room behind the seamer has no permit.
  const bool held = recipe_.gate_signals && inputs_.high(Channel::kDownstreamFull);
  return {.run_permit = inputs_.high(Channel::kRunPermit) && !held,
          .safety_chain = inputs_.high(Channel::kSafetyChain),
          .supply_ready = inputs_.high(Channel::kSupplyReady) || !supply_due,
          .link_alive = inputs_.high(Channel::kLinkAlive),
          .valve_feedback = inputs_.high(Channel::kValveFeedback),
          .room_oxygen = room_oxygen_enough(inputs_, recipe_.room_oxygen_ppm_min)};
}

/// A head that the start has to dry gets no liquid before.
bool DoseController::supply_open() const {
  if (!recipe_.start.brings_up()) return in_use(mode_);
  if (mode_ == Mode::kStarting) return start_.phase() != StartUp::Phase::kPurge;
  return in_production(mode_);
}

/// Samples, and what of the valve's last command is over.
void DoseController::watch_head(Instant now) {
  supply_.settle({.level_um = inputs_.sample(Channel::kSupplyLevel),
                  .pressure_pa = inputs_.sample(Channel::kSupplyPressure),
                  .body_temperature_mk = inputs_.sample(Channel::kBodyTemperature)},
                 recipe_.supply);
  service_.finish(now, counters_);
  if (!speed_.watch(now, inputs_.high(Channel::kValveFeedback), recipe_.slow)) return;
  counters_.add(Counter::kSlowShot);
  if (!speed_.container()) return;
  if (Container* container = queue_.find(*speed_.container())) container->flagged = true;
}

/// Start button and start-up.
void DoseController::bring_up(Instant now) {
  if (inputs_.rose(Channel::kOperatorStart) && mode_ == Mode::kIdle) {
    mode_ = next_mode(mode_, ModeEvent::kStart);
    start_.begin(now);
    service_.forget_tests();
    service_.ask_for_tests(recipe_.start.test_shots);
  }
  if (mode_ != Mode::kStarting) return;
  const bool cold = supply_.cold() && inputs_.high(Channel::kSupplyReady);
  start_.settle(now, recipe_.start, cold, service_.tests_left() == 0);
  if (start_.phase() != StartUp::Phase::kReady) return;
  mode_ = next_mode(mode_, ModeEvent::kReady);
  idle_.begin(now, recipe_.start.cool_down_max > 0_us, recipe_.idle);
}

/// The operator asks for test shots: while the line stands, and of a head that is cold.
void DoseController::take_test_request() {
  const std::int32_t count = inputs_.sample(Channel::kOperatorTestShots);
  if (!inputs_.changed(Channel::kOperatorTestShots) || count == 0) return;
  const bool safe =
      mode_ == Mode::kSuspended || (mode_ == Mode::kIdle && !recipe_.start.brings_up());
  if (!safe || recipe_.test_open == 0_us || count < 0 || count > kTestShotsMax) {
    counters_.add(Counter::kTestShotRefused);
    return;
  }
  service_.forget_tests();
  service_.ask_for_tests(count);
}

/// The shots without a container that are wanted now.
std::optional<ServiceOrder> DoseController::service_order(Instant now) const {
  const bool starting = mode_ == Mode::kStarting;
  const bool may_test = starting ? start_.phase() == StartUp::Phase::kTest
                                 : mode_ == Mode::kIdle || mode_ == Mode::kSuspended;
  if (may_test && service_.tests_left() > 0) {
    return ServiceOrder{ShotKind::kTest, recipe_.test_open, recipe_.test_period};
  }
  if (recipe_.cool_down_open == 0_us) return std::nullopt;
  if (starting) {
    return ServiceOrder{ShotKind::kCoolDown, recipe_.cool_down_open, recipe_.cool_down_period};
  }
  const Duration period = recipe_.idle.period;
  if (!in_production(mode_) || period == 0_us) return std::nullopt;
  if (now < idle_.shut_since() + period) return std::nullopt;
  return ServiceOrder{ShotKind::kCoolDown, recipe_.cool_down_open, period};
}

/// Fires and cuts the shots without a container. True if the nozzle is clear for one.
bool DoseController::serve(const Moment& moment) {
  take_test_request();
  if (mode_ == Mode::kExecute || !in_use(mode_)) service_.forget_tests();
  // Where the belt goes from here is not known yet.
  if (inputs_.changed(Channel::kRunPermit)) service_.cut(moment.now, counters_);
  const std::optional<ServiceOrder> order = service_order(moment.now);
  serving_ = order || service_.open();
  serve_at_ = kNever;
  dosing_.rest_from(service_.closed_at());
  if (!serving_) return false;

  const Duration open_for = service_.open() ? service_.left(moment.now) : order->open;
  const NozzleView view =
      look_at_nozzle(moment, queue_, inputs_.high(Channel::kContainerSensor), open_for);
  service_.settle(moment.now, order, view.clear, dosing_.rested_at(recipe_), counters_);
  dosing_.rest_from(service_.closed_at());
  if (view.clear) serve_at_ = service_.due(order, dosing_.rested_at(recipe_));
  serve_at_ = earlier(serve_at_, belt_.time_of(view.changes_at));
  return view.clear;
}

/// What follows from the valve's level at the end of an instant.
void DoseController::on_valve(Instant now, bool was_open, const ValveRequest& request) {
  speed_.command(now, {valve_, request.container, request.kind});
  if (was_open && !valve_) idle_.on_shut(now);
  if (!valve_) return;
  if (!was_open) idle_.on_open(now, recipe_.idle);
  const bool next_container = request.container && request.container != dosed_last_;
  if (was_open && !next_container) return;
  dosed_last_ = request.container;
  const bool unsteady = idle_.take_unsteady(supply_.body_cold(), recipe_.idle);
  if (!unsteady || !request.container) return;
  counters_.add(Counter::kDoseUnsteady);
  if (Container* container = queue_.find(*request.container)) container->flagged = true;
}

Instant DoseController::head_due(Instant now) const {
  Instant due = earlier(limit_.due(recipe_.open_budget), supply_.due());
  due = earlier(due, serve_at_);
  if (mode_ == Mode::kStarting) due = earlier(due, start_.due(recipe_.start));
  const Instant idle_at = idle_.shut_since() + recipe_.idle.period;
  const bool idles = in_production(mode_) && recipe_.idle.period > 0_us && idle_at > now;
  return idles ? earlier(due, idle_at) : due;
}

}  // namespace rimebench
