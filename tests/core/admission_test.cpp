#include <doctest/doctest.h>

#include <algorithm>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// The rotary line for 1 s; `sensor` adds what the container sensor shows.
template <class Sensor>
Changes with_sensor(const RecipeValues& recipe, Sensor sensor) {
  Script script;
  script.started(recipe).belt(0, 1'000'000, 10'000);
  sensor(script);
  return play(script, 1'000'000);
}

RecipeValues any_width() {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kContainerWidthMinUm, 0);
  return recipe;
}

}  // namespace

TEST_CASE(
    "admission: a level of exactly debounce_us is a container, one microsecond less is chatter") {
  const auto held = [](std::int64_t for_us) {
    return with_sensor(any_width(),
                       [&](Script& s) { s.pulse(103'500, Channel::kContainerSensor, for_us); });
  };
  CHECK(history(held(2'000), Channel::kValve) == "623000=1 643000=0");
  CHECK(history(held(2'000), Counter::kChatterRejected) == "");
  CHECK(history(held(1'999), Channel::kValve) == "");
  CHECK(history(held(1'999), Counter::kChatterRejected) == "105499=1");
}

TEST_CASE("admission: chatter before the edge moves the edge to the level that holds") {
  const Changes outputs = with_sensor(rotary_recipe(), [](Script& s) {
    s.pulse(103'500, Channel::kContainerSensor, 300);
    s.pulse(105'500, Channel::kContainerSensor, 110'000);
  });
  CHECK(history(outputs, Counter::kChatterRejected) == "103800=1");
  CHECK(history(outputs, Channel::kValve) == "625000=1 645000=0");
}

TEST_CASE("admission: a gap shorter than the debounce does not end a container") {
  const Changes outputs = with_sensor(rotary_recipe(), [](Script& s) {
    s.pulse(103'500, Channel::kContainerSensor, 50'000);
    s.pulse(155'499, Channel::kContainerSensor, 58'001);
  });
  CHECK(history(outputs, Counter::kChatterRejected) == "155499=1");
  CHECK(history(outputs, Counter::kWidthImplausible) == "");
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE("admission: without debounce every edge is believed at once") {
  RecipeValues recipe = any_width();
  recipe.set(Parameter::kDebounceUs, 0);
  const Changes outputs =
      with_sensor(recipe, [](Script& s) { s.pulse(103'500, Channel::kContainerSensor, 1); });
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0");
}

TEST_CASE("admission: the sensor's latency is taken off at the belt's speed") {
  const auto opens_with_latency = [](std::int32_t latency_us) {
    RecipeValues recipe = rotary_recipe();
    recipe.set(Parameter::kSensorLatencyUs, latency_us);
    return history(with_sensor(recipe, [](Script& s) { s.container(103'000); }), Channel::kValve);
  };
  CHECK(opens_with_latency(500) == "623000=1 643000=0");
  CHECK(opens_with_latency(0) == "623500=1 643500=0");
  CHECK(opens_with_latency(20'500) == "603000=1 623000=0");
}

TEST_CASE("admission: a container as narrow or as wide as allowed is dosed, beyond it is flagged") {
  const auto implausible = [](std::int64_t width_us) {
    const Changes outputs = with_sensor(
        rotary_recipe(), [&](Script& s) { s.pulse(100'500, Channel::kContainerSensor, width_us); });
    const std::string dosed = history(outputs, Channel::kValve);
    const std::string counted = history(outputs, Counter::kWidthImplausible);
    CHECK(dosed.empty() != counted.empty());
    return counted;
  };
  CHECK(implausible(50'000) == "");  // 30.000 mm
  CHECK(implausible(49'998) == "152498=1");
  CHECK(implausible(166'667) == "");  // 100.000 mm
  CHECK(implausible(166'670) == "269170=1");
}

TEST_CASE("admission: a width found wrong after the shot still sends the container to the gate") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kSensorToNozzleUm, 30'000);  // due 70 000 us after the edge
  Script script;
  script.started(recipe).belt(0, 3'000'000, 10'000);
  script.pulse(100'500, Channel::kContainerSensor, 200'000);
  const Changes outputs = play(script, 3'000'000);
  CHECK(history(outputs, Channel::kValve) == "170000=1 190000=0");
  CHECK(history(outputs, Counter::kWidthImplausible) == "302500=1");
  CHECK(history(outputs, Counter::kRejected).starts_with("1210000=1"));
}

TEST_CASE("admission: a second edge closer than pitch_min is the same container") {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kPitchMinUm, 80'000);
  const auto second_edge_after = [&](std::int64_t us) {
    return with_sensor(recipe, [&](Script& s) {
      s.pulse(100'500, Channel::kContainerSensor, 100'000);
      s.pulse(100'500 + us, Channel::kContainerSensor, 100'000);
    });
  };
  const Changes same = second_edge_after(133'330);  // 79.998 mm
  CHECK(history(same, Counter::kDoubleEdge) == "235830=1");
  CHECK(history(same, Channel::kValve) == "620000=1 640000=0");
  const Changes next = second_edge_after(133'335);  // 80.001 mm
  CHECK(history(next, Counter::kDoubleEdge) == "");
  CHECK(history(next, Channel::kValve) == "620000=1 640000=0 753335=1 773335=0");
}

TEST_CASE("admission: a container that never reaches the sensor gets nothing") {
  const Changes outputs = with_sensor(rotary_recipe(), [](Script&) {});
  CHECK(history(outputs, Channel::kValve) == "");
}

TEST_CASE("admission: a container already at the sensor when the recipe comes is not guessed at") {
  Script script;
  script.set(500, Channel::kContainerSensor, 1).set(90'000, Channel::kContainerSensor, 0);
  script.started(rotary_recipe()).belt(0, 1'000'000, 10'000).container(203'000);
  CHECK(history(play(script, 1'000'000), Channel::kValve) == "723000=1 743000=0");
}

TEST_CASE(
    "admission: a recipe without debounce, taken as the sensor changes, costs no microsecond "
    "twice") {
  Script script;
  script.started(rotary_recipe()).belt(0, 100'000, 10'000);
  script.pulse(4'000, Channel::kOperatorStop, 500);
  script.set(9'000, Channel::kContainerSensor, 1).set(10'000, Channel::kContainerSensor, 0);
  RecipeValues undebounced = rotary_recipe();
  undebounced.set(Parameter::kDebounceUs, 0);
  // The rise is believed at the commit, the fall one microsecond later: nothing is as narrow.
  script.set(10'000, recipe_channel(slot(Parameter::kDebounceUs)), 0);
  const Changes outputs = play(script.recipe(10'000, undebounced), 100'000);
  CHECK(history(outputs, Counter::kWidthImplausible) == "10001=1");
}

TEST_CASE(
    "admission: an edge of pitch_min_um behind the last one is a container, one nearer is not") {
  // The rotary recipe asks for 50 mm; the belt travels 0.6 um a microsecond.
  const auto second_at = [](std::int64_t at_us) {
    return with_sensor(any_width(), [&](Script& s) {
      s.pulse(103'500, Channel::kContainerSensor, 20'000);
      s.pulse(at_us, Channel::kContainerSensor, 20'000);
    });
  };
  const Changes nearer = second_at(103'500 + 83'332);
  CHECK(history(nearer, Counter::kDoubleEdge) == "188832=1");
  CHECK(history(nearer, Channel::kValve) == "623000=1 643000=0");
  RecipeValues recipe = any_width();
  recipe.set(Parameter::kPitchMinUm, 48'000);
  const Changes apart = with_sensor(recipe, [](Script& s) {
    s.pulse(103'500, Channel::kContainerSensor, 20'000);
    s.pulse(183'500, Channel::kContainerSensor, 20'000);  // 48 mm behind
  });
  CHECK(history(apart, Counter::kDoubleEdge) == "");
  CHECK(history(apart, Channel::kValve) == "623000=1 643000=0 703000=1 723000=0");
}

TEST_CASE("admission: a container that stood at the sensor when the recipe came is none") {
  Script script;
  script.set(500, Channel::kContainerSensor, 1);
  script.started(rotary_recipe()).belt(0, 1'000'000, 10'000);
  script.set(103'500, Channel::kContainerSensor, 0);
  const Changes outputs = play(script, 1'000'000);
  CHECK(history(outputs, Channel::kValve) == "");
  CHECK(history(outputs, Counter::kWidthImplausible) == "");
  CHECK(history(outputs, Counter::kChatterRejected) == "");
}

TEST_CASE("admission: a level as wide as two or three containers is so many, and none is dosed") {
  // One is 66 mm, 110 000 us at 0.6 um a microsecond; a level of up to 100 mm may be a single one.
  const auto rejected = [](std::int64_t for_us, std::int32_t least_um) {
    RecipeValues recipe = rotary_recipe();
    recipe.set(Parameter::kContainerWidthMinUm, least_um);
    Script script;
    script.started(recipe).belt(0, 5'000'000, 10'000);
    script.pulse(103'500, Channel::kContainerSensor, for_us);
    const Changes outputs = play(script, 5'000'000);
    CHECK((history(outputs, Channel::kValve) == "") == (for_us > 166'666));
    return history(outputs, Channel::kReject);
  };
  // The gate is out for 40 mm about each centre and in between two; once more, at first, for
  // whatever is on the line already.
  const auto strokes = [&](std::int64_t for_us, std::int32_t least_um = 30'000) {
    const std::string text = rejected(for_us, least_um);
    return std::count(text.begin(), text.end(), '=') / 2 - 1;
  };
  CHECK(strokes(120'000) == 0);
  CHECK(strokes(168'000) == 2);          // 100.8 mm: nearer to two than to one
  CHECK(strokes(168'000, 60'000) == 1);  // but not if each has 60 mm at least
  CHECK(strokes(200'000, 60'000) == 2);  // 120 mm: two that just have it
  CHECK(strokes(220'000) == 2);
  CHECK(strokes(330'000) == 3);
}

TEST_CASE("admission: a row of touching containers keeps the count on a queued line") {
  Script script;
  script.started(counted_recipe()).belt(0, 8'000'000, 10'000);
  script.set(500, Channel::kSeamerRunning, 1);
  script.pulse(103'500, Channel::kContainerSensor, 220'000);  // two
  script.container(503'000);
  for (const std::int64_t at : {2'758'000, 2'908'000, 3'158'000}) {
    script.pulse(at, Channel::kDischargeSensor, 50'000);
  }
  const Changes outputs = play(script, 8'000'000);
  CHECK(history(outputs, Counter::kRejected) == "2758000=1 2908000=2");
  CHECK(history(outputs, Counter::kDischargeUnexpected) == "");
}
