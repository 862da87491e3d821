#include "firmware_sim/core/guard.hpp"

#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

constexpr Interlocks kHealthy{.run_permit = true,
                              .safety_chain = true,
                              .supply_ready = true,
                              .link_alive = true,
                              .valve_feedback = false};
constexpr GuardLimits kLimits{.open_min = 5_ms, .open_max = 20_ms, .feedback_max = 0_us};
const ValveRequest kOpen{true, ContainerNumber{7}};
const ValveRequest kClosed{};

/// The rotary line with one container, open from 623 000 to 643 000 us, and one input change.
Changes with_change(std::int64_t at_us, Channel channel, std::int32_t value) {
  Script script;
  script.started(rotary_recipe()).belt(0, 1'000'000, 10'000).container(103'000);
  script.set(at_us, channel, value);
  return play(script, 1'000'000);
}

/// The same, with valve feedback wired and allowed 30 ms.
Script with_feedback() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kValveFeedbackUsMax, 30'000);
  Script script;
  return script.started(recipe).belt(0, 1'000'000, 10'000).container(103'000);
}

std::string fault(Fault fault) { return std::to_string(static_cast<int>(fault)); }

}  // namespace

TEST_CASE("guard: an open request that names no container stays closed and is a fault") {
  Guard guard;
  CHECK_FALSE(guard.allow(Instant{0}, ValveRequest{true, std::nullopt}, kHealthy, kLimits));
  CHECK(guard.fault() == Fault::kOpenWithoutContainer);
}

TEST_CASE("guard: a request held for open_us_max is closed in that microsecond and is a fault") {
  Guard guard;
  CHECK(guard.allow(Instant{0}, kOpen, kHealthy, kLimits));
  CHECK(guard.due() == Instant{20'000});
  CHECK(guard.allow(Instant{19'999}, kOpen, kHealthy, kLimits));
  CHECK(guard.fault() == Fault::kNone);
  CHECK_FALSE(guard.allow(Instant{20'000}, kOpen, kHealthy, kLimits));
  CHECK(guard.fault() == Fault::kOpenTooLong);
}

TEST_CASE("guard: each interlock closes the valve by itself, whatever is requested") {
  for (const auto wire : {&Interlocks::run_permit, &Interlocks::safety_chain,
                          &Interlocks::supply_ready, &Interlocks::link_alive}) {
    Guard guard;
    Interlocks interlocks = kHealthy;
    CHECK(guard.allow(Instant{0}, kOpen, interlocks, kLimits));
    interlocks.*wire = false;
    CHECK_FALSE(guard.allow(Instant{1}, kOpen, interlocks, kLimits));
  }
}

TEST_CASE("guard: a request that was closed over does not open the valve again") {
  Guard guard;
  Interlocks no_permit = kHealthy;
  no_permit.run_permit = false;
  CHECK_FALSE(guard.allow(Instant{0}, kOpen, no_permit, kLimits));
  CHECK_FALSE(guard.allow(Instant{1}, kOpen, kHealthy, kLimits));
  CHECK_FALSE(guard.allow(Instant{2}, kClosed, kHealthy, kLimits));
  CHECK(guard.allow(Instant{3}, kOpen, kHealthy, kLimits));
}

TEST_CASE("guard: after a fault nothing opens until the reset") {
  Guard guard;
  guard.watch(Instant{0}, Interlocks{}, true);
  CHECK(guard.fault() == Fault::kSafetyChainLost);
  CHECK_FALSE(guard.allow(Instant{1}, kOpen, kHealthy, kLimits));
  guard.reset();
  CHECK_FALSE(guard.allow(Instant{2}, kClosed, kHealthy, kLimits));
  CHECK(guard.allow(Instant{3}, kOpen, kHealthy, kLimits));
}

TEST_CASE(
    "guard: a lost interlock closes the valve in that microsecond and latches its own fault") {
  const auto lost = [](Channel channel, Fault named) {
    const Changes outputs = with_change(630'000, channel, 0);
    CHECK(history(outputs, Channel::kValve) == "623000=1 630000=0");
    CHECK(history(outputs, Channel::kAlarm) == "630000=" + fault(named));
    CHECK(history(outputs, Channel::kMode) == "2000=1 3000=2 630000=4");
    CHECK(history(outputs, Channel::kLinePermit) == "1000=1 630000=0");
    CHECK(history(outputs, Channel::kSupplyIsolation) == "2000=1 630000=0");
    CHECK(history(outputs, Counter::kShotCut) == "630000=1");
  };
  lost(Channel::kSafetyChain, Fault::kSafetyChainLost);
  lost(Channel::kSupplyReady, Fault::kSupplyLost);
  lost(Channel::kLinkAlive, Fault::kLinkLost);
}

TEST_CASE("guard: an interlock lost in the microsecond of an opening prevents it") {
  const Changes outputs = with_change(623'000, Channel::kSafetyChain, 0);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Channel::kAlarm) == "623000=1");
}

TEST_CASE("guard: a lost supply is no fault while stopped") {
  Script script;
  script.set(1'000, Channel::kSupplyReady, 1).recipe(1'000, rotary_recipe());
  script.set(2'000, Channel::kSupplyReady, 0);
  CHECK(history(play(script, 10'000), Channel::kAlarm) == "");
}

TEST_CASE(
    "guard: feedback in the last allowed microsecond is in time, one later is a stuck valve") {
  const auto opens_at = [](std::int64_t at_us) {
    Script script = with_feedback();
    script.set(at_us, Channel::kValveFeedback, 1).set(670'000, Channel::kValveFeedback, 0);
    return play(script, 1'000'000);
  };
  CHECK(history(opens_at(653'000), Channel::kAlarm) == "");
  CHECK(history(opens_at(653'001), Channel::kAlarm) == "653000=" + fault(Fault::kValveStuckClosed));
}

TEST_CASE("guard: feedback that stays after the close command is a valve stuck open") {
  const auto closes_at = [](std::int64_t at_us) {
    Script script = with_feedback();
    script.set(630'000, Channel::kValveFeedback, 1).set(at_us, Channel::kValveFeedback, 0);
    return play(script, 1'000'000);
  };
  CHECK(history(closes_at(673'000), Channel::kAlarm) == "");
  CHECK(history(closes_at(673'001), Channel::kAlarm) == "673000=" + fault(Fault::kValveStuckOpen));
}

TEST_CASE("guard: a valve that falls shut while commanded open is a valve stuck closed") {
  const auto shown_until = [](std::int64_t at_us) {
    RecipeValues recipe = rotary_recipe();
    recipe.set(Parameter::kValveFeedbackUsMax, 10'000);
    Script script;
    script.started(recipe).belt(0, 1'000'000, 10'000).container(103'000);
    script.set(625'000, Channel::kValveFeedback, 1).set(at_us, Channel::kValveFeedback, 0);
    return history(play(script, 1'000'000), Channel::kAlarm);
  };
  CHECK(shown_until(633'001) == "");  // the close command at 643 000 comes first
  CHECK(shown_until(633'000) == "643000=" + fault(Fault::kValveStuckClosed));
}

TEST_CASE("guard: a valve that opens by itself is a valve stuck open") {
  Script script = with_feedback();
  script.set(200'000, Channel::kValveFeedback, 1);
  CHECK(history(play(script, 1'000'000), Channel::kAlarm) ==
        "230000=" + fault(Fault::kValveStuckOpen));
}

TEST_CASE("guard: a shot cut before the valve could show itself is no stuck valve") {
  const auto cut_at = [](std::int64_t at_us, Channel channel, std::int32_t value) {
    Script script = with_feedback();
    script.set(at_us, channel, value);
    return history(play(script, 1'000'000), Channel::kAlarm);
  };
  CHECK(cut_at(627'999, Channel::kRunPermit, 0) == "");
  CHECK(cut_at(627'999, Channel::kOperatorStop, 1) == "");
  // As long as the shortest shot it should have shown.
  CHECK(cut_at(628'000, Channel::kRunPermit, 0) == "653000=" + fault(Fault::kValveStuckClosed));
}

TEST_CASE("guard: where no feedback is wired its level means nothing") {
  const Changes outputs = with_change(200'000, Channel::kValveFeedback, 1);
  CHECK(history(outputs, Channel::kAlarm) == "");
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}
