#include "firmware_sim/core/recipe.hpp"

#include <doctest/doctest.h>

#include "firmware_sim/core/dose.hpp"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Recipe state after these values are staged and committed in Stopped.
std::int32_t verdict_on(const RecipeValues& values) {
  RecipeStage stage;
  for (int index = 0; index < kParameterSlots; ++index) {
    stage.take(recipe_channel(index), values.at_slot(index));
  }
  stage.take(Channel::kRecipeCommit, values.commit_value());
  return stage.take_commit(Mode::kStopped);
}

RecipeValues with(int changed_slot, std::int32_t value) {
  RecipeValues values = rotary_recipe();
  values.set_slot(changed_slot, value);
  return values;
}

RecipeValues with_curve(Parameter list, std::initializer_list<std::int32_t> entries) {
  RecipeValues values = rotary_recipe();
  int entry = 0;
  for (const std::int32_t value : entries) values.set_slot(slot(list, entry++), value);
  return values;
}

}  // namespace

TEST_CASE("recipe: every parameter is accepted at both ends of its range and refused beyond") {
  int index = 0;
  for (const ParameterRow& row : kParameterTable) {
    CAPTURE(row.key);
    const bool curve = row.entries == kCurvePoints;
    if (!curve) {
      CHECK(verdict_on(with(index, row.min)) == kRecipeAccepted);
      CHECK(verdict_on(with(index, row.max)) == kRecipeAccepted);
    }
    CHECK(verdict_on(with(index, row.min - 1)) == kRecipeRefusedSlot - index);
    CHECK(verdict_on(with(index, row.max + 1)) == kRecipeRefusedSlot - index);
    index += row.entries;
  }
}

TEST_CASE("recipe: the first wrong slot is the one named") {
  RecipeValues values = rotary_recipe();
  values.set(Parameter::kGateAfterUm, -1);
  values.set(Parameter::kDebounceUs, -1);
  CHECK(verdict_on(values) == kRecipeRefusedSlot - slot(Parameter::kDebounceUs));
}

TEST_CASE("recipe: a curve must rise, and nothing may follow its end") {
  const auto refused = [](Parameter list, int entry) {
    return kRecipeRefusedSlot - slot(list, entry);
  };
  using P = Parameter;
  CHECK(verdict_on(with_curve(P::kOpenCurveUg, {100'000, 90'000})) == refused(P::kOpenCurveUg, 1));
  CHECK(verdict_on(with_curve(P::kOpenCurveUg, {100'000, 100'000})) == refused(P::kOpenCurveUg, 1));
  CHECK(verdict_on(with_curve(P::kOpenCurveUg, {100'000, 200'000, 0, 300'000})) ==
        refused(P::kOpenCurveUg, 3));
  CHECK(verdict_on(with_curve(P::kOpenCurveUs, {10'000, 10'000})) == refused(P::kOpenCurveUs, 1));
  CHECK(verdict_on(with_curve(P::kOpenCurveUs, {10'000, 50'000, 60'000})) ==
        refused(P::kOpenCurveUs, 2));
  CHECK(verdict_on(with_curve(P::kWaitCurvePpm, {1'000'000, 1'100'000})) ==
        refused(P::kWaitCurvePpm, 1));
}

TEST_CASE("recipe: a curve may start at 0 and fill all eight points; gains need not rise") {
  RecipeValues values = with_curve(Parameter::kWaitCurveUs, {0, 1, 2, 3, 4, 5, 6, 7});
  for (int i = 0; i < kCurvePoints; ++i) {
    values.set_slot(slot(Parameter::kWaitCurvePpm, i), 1'000'000 - i);
  }
  CHECK(verdict_on(values) == kRecipeAccepted);
}

TEST_CASE("recipe: a commit whose checksum differs from what is staged is refused") {
  RecipeStage stage;
  stage.take(recipe_channel(0), 6'000);
  stage.take(Channel::kRecipeCommit, rotary_recipe().commit_value());
  CHECK(stage.take_commit(Mode::kStopped) == kRecipeRefusedChecksum);
}

TEST_CASE("recipe: it can be changed in Stopped and Idle only") {
  for (const Mode mode :
       {Mode::kStopped, Mode::kIdle, Mode::kExecute, Mode::kSuspended, Mode::kAborted}) {
    RecipeStage stage;
    const RecipeValues values = rotary_recipe();
    for (int i = 0; i < kParameterSlots; ++i) stage.take(recipe_channel(i), values.at_slot(i));
    stage.take(Channel::kRecipeCommit, values.commit_value());
    const bool may = mode == Mode::kStopped || mode == Mode::kIdle;
    CHECK(stage.take_commit(mode) == (may ? kRecipeAccepted : kRecipeRefusedRunning));
  }
}

TEST_CASE("dose: half way between two points of the valve's calibration the time is half way too") {
  RecipeValues values = rotary_recipe();
  values.set(Parameter::kDoseUg, 300'000);
  const Dose dose = dose_for(Recipe(values), 1_s);
  CHECK(dose.open == 30_ms);
  CHECK(dose.in_range);
}

TEST_CASE("dose: the last mass of the calibration can be dosed, one microgram more cannot") {
  RecipeValues values = rotary_recipe();
  values.set(Parameter::kDoseUg, 500'000);
  CHECK(dose_for(Recipe(values), 1_s).in_range);
  values.set(Parameter::kDoseUg, 500'001);
  CHECK_FALSE(dose_for(Recipe(values), 1_s).in_range);
  values.set(Parameter::kDoseUg, 100'000);
  CHECK(dose_for(Recipe(values), 1_s).in_range);
  values.set(Parameter::kDoseUg, 99'999);
  CHECK_FALSE(dose_for(Recipe(values), 1_s).in_range);
}

TEST_CASE("dose: an open time at its limit is fired, one microsecond outside is not") {
  RecipeValues values = rotary_recipe();  // 20 000 us
  values.set(Parameter::kOpenUsMax, 20'000);
  CHECK(dose_for(Recipe(values), 1_s).in_range);
  values.set(Parameter::kOpenUsMax, 19'999);
  CHECK_FALSE(dose_for(Recipe(values), 1_s).in_range);
  values.set(Parameter::kOpenUsMax, 150'000);
  values.set(Parameter::kOpenUsMin, 20'001);
  CHECK_FALSE(dose_for(Recipe(values), 1_s).in_range);
}

TEST_CASE("dose: without a calibration nothing can be dosed") {
  RecipeValues values = rotary_recipe();
  for (int i = 0; i < 2; ++i) {
    values.set_slot(slot(Parameter::kOpenCurveUg, i), 0);
    values.set_slot(slot(Parameter::kOpenCurveUs, i), 0);
  }
  CHECK_FALSE(dose_for(Recipe(values), 1_s).in_range);
}

TEST_CASE(
    "dose: the wait curve raises the dose, and is held before its first point and past its last") {
  RecipeValues values = rotary_recipe();
  values.set_slot(slot(Parameter::kWaitCurveUs, 0), 1'000'000);
  values.set_slot(slot(Parameter::kWaitCurveUs, 1), 3'000'000);
  values.set_slot(slot(Parameter::kWaitCurvePpm, 0), 1'000'000);
  values.set_slot(slot(Parameter::kWaitCurvePpm, 1), 1'500'000);
  const auto open_at_wait = [&](std::int32_t wait_us) {
    return dose_for(Recipe(values), Duration{wait_us}).open;
  };
  CHECK(open_at_wait(0) == 20_ms);
  CHECK(open_at_wait(1'000'000) == 20_ms);
  CHECK(open_at_wait(2'000'000) == 25_ms);
  CHECK(open_at_wait(3'000'000) == 30_ms);
  CHECK(open_at_wait(600'000'000) == 30_ms);
}

TEST_CASE("dose: without a calibration a dose still knows its mass and the wait it was made for") {
  RecipeValues values = rotary_recipe();
  for (int i = 0; i < 2; ++i) {
    values.set_slot(slot(Parameter::kOpenCurveUg, i), 0);
    values.set_slot(slot(Parameter::kOpenCurveUs, i), 0);
  }
  const Dose dose = dose_for(Recipe(values), 1_s);
  CHECK(dose.expected_wait == 1_s);
  CHECK(dose.mass == Mass{200'000});
  CHECK(dose.open == Recipe(values).open_min);
}
