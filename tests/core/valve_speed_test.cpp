#include "firmware_sim/core/valve_speed.hpp"

#include <doctest/doctest.h>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Feedback within 30 ms or the valve is stuck, later than 10 ms and it is slow; two slow shots in
/// a row are a fault.
RecipeValues timed_valve() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kValveFeedbackUsMax, 30'000);
  recipe.set(Parameter::kValveSlowUs, 10'000);
  recipe.set(Parameter::kValveSlowCountMax, 2);
  return recipe;
}

/// Feedback of one shot, from when it rises until it falls.
struct Shown {
  std::int64_t rises_us;
  std::int64_t falls_us;
};

/// Shots from 623 000 to 643 000 us, 823 000 to 843 000 and so on.
Changes shots(std::initializer_list<Shown> feedback, const RecipeValues& recipe = timed_valve()) {
  Script script;
  script.started(recipe).belt(0, 4'000'000, 10'000);
  std::int64_t edge = 103'000;
  for (const Shown& shown : feedback) {
    script.container(edge);
    script.pulse(shown.rises_us, Channel::kValveFeedback, shown.falls_us - shown.rises_us);
    edge += 200'000;
  }
  return play(script, 4'000'000);
}

}  // namespace

TEST_CASE(
    "slow valve: at the limit it is in time, a microsecond later it is slow, opening or shutting") {
  const auto slow = [](Shown shown) { return history(shots({shown}), Counter::kSlowShot); };
  CHECK(slow({633'000, 653'000}) == "");
  CHECK(slow({633'001, 653'000}) == "633001=1");
  CHECK(slow({633'000, 653'001}) == "653001=1");
  CHECK(slow({633'001, 653'001}) == "633001=1");  // one shot, counted once
}

TEST_CASE("slow valve: the container of a slow shot goes to the gate") {
  const Changes outputs = shots({{633'001, 650'000}, {830'000, 850'000}});
  CHECK(history(outputs, Counter::kRejected) == "1660000=1");
  CHECK(history(outputs, Channel::kAlarm) == "");
}

TEST_CASE("slow valve: so many slow shots in a row are a fault, and a good one begins a new row") {
  const Changes row = shots({{633'001, 650'000}, {830'000, 853'001}});
  CHECK(history(row, Channel::kAlarm) == alarm_at(853'001, Fault::kValveSlow));
  const Changes broken_row =
      shots({{633'001, 650'000}, {830'000, 850'000}, {1'033'001, 1'050'000}});
  CHECK(history(broken_row, Counter::kSlowShot) == "633001=1 1033001=2");
  CHECK(history(broken_row, Channel::kAlarm) == "");
}

TEST_CASE("slow valve: a limit of 0 in a row never latches, and no limit counts nothing") {
  const RecipeValues counts = with(timed_valve(), Parameter::kValveSlowCountMax, 0);
  const Changes counted = shots({{633'001, 650'000}, {833'001, 850'000}}, counts);
  CHECK(history(counted, Counter::kSlowShot) == "633001=1 833001=2");
  CHECK(history(counted, Channel::kAlarm) == "");
  const RecipeValues off = with(timed_valve(), Parameter::kValveSlowUs, 0);
  CHECK(history(shots({{633'001, 650'000}}, off), Counter::kSlowShot) == "");
}

TEST_CASE("slow valve: where no feedback is wired nothing is slow") {
  const RecipeValues unwired = with(timed_valve(), Parameter::kValveFeedbackUsMax, 0);
  CHECK(history(shots({{633'001, 650'000}}, unwired), Counter::kSlowShot) == "");
}

TEST_CASE("slow valve: beyond the guard's allowance it is stuck, not slow") {
  const Changes outputs = shots({{653'001, 670'000}});
  CHECK(history(outputs, Channel::kAlarm) == alarm_at(653'000, Fault::kValveStuckClosed));
}

TEST_CASE("slow valve: the reset forgets the row") {
  Script script;
  script.started(timed_valve()).belt(0, 4'000'000, 10'000);
  for (const std::int64_t edge : {103'000, 303'000, 1'503'000}) script.container(edge);
  script.pulse(633'001, Channel::kValveFeedback, 16'000);
  script.pulse(833'001, Channel::kValveFeedback, 16'000);
  script.pulse(1'000'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'010'000, Channel::kOperatorReset, 1'000);
  script.pulse(1'020'000, Channel::kOperatorStart, 1'000);
  script.pulse(2'033'001, Channel::kValveFeedback, 16'000);
  CHECK(history(play(script, 4'000'000), Channel::kAlarm) ==
        alarm_at(833'001, Fault::kValveSlow) + " 1000000=0");
}

TEST_CASE("slow valve: a shot is counted as slow even when its container has left the line") {
  // Seamed 1 mm behind the nozzle, at 659 667 us; the feedback falls later.
  const RecipeValues recipe = with(timed_valve(), Parameter::kNozzleToSeamUm, 1'000);
  const Changes outputs = shots({{630'000, 665'000}}, recipe);
  CHECK(history(outputs, Counter::kSlowShot) == "665000=1");
  CHECK(history(outputs, Channel::kAlarm) == "");
}
