#include "firmware_sim/core/group_place.hpp"

#include <doctest/doctest.h>

#include <string>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// Four heads 100 mm apart; the first head's edge reaches the sensor 400 mm after the signal.
RecipeValues inline_recipe(PlaceSource source) {
  RecipeValues recipe = rotary_recipe();
  recipe.set(Parameter::kPlaceSource, static_cast<int>(source));
  recipe.set(Parameter::kPlaceCount, 4);
  recipe.set(Parameter::kGroupStartToSensorUm, 400'000);
  recipe.set(Parameter::kHeadPitchUm, 100'000);
  return recipe;
}

/// The places of containers with leading edges at these belt positions (mm), as "0 1 2".
std::string places(GroupPlace& groups, const Recipe& recipe, std::initializer_list<int> edges_mm) {
  Counters counters;
  std::string text;
  for (const int edge : edges_mm) {
    if (!text.empty()) text += ' ';
    text += std::to_string(groups.place_of(Length{edge * 1'000LL}, recipe, counters).number);
  }
  return text;
}

}  // namespace

TEST_CASE("place: it is the number of containers ahead in the group") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(groups.on_group_start(1'000_mm, recipe));
  CHECK(places(groups, recipe, {400, 500, 600, 700}) == "0 1 2 3");
  CHECK(places(groups, recipe, {1'400, 1'500, 1'600, 1'700}) == "0 1 2 3");
}

TEST_CASE("place: a missing container moves the others up: they wait less, so they get less") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(places(groups, recipe, {400, 600, 700}) == "0 1 2");
}

TEST_CASE("place: counted by heads, a missing container leaves the others where they are") {
  const Recipe recipe(inline_recipe(PlaceSource::kHeadNumber));
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(places(groups, recipe, {400, 600, 700}) == "0 2 3");
}

TEST_CASE("place: by heads, half a head pitch either side of the head's own place is that head") {
  const Recipe recipe(inline_recipe(PlaceSource::kHeadNumber));
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(places(groups, recipe, {350, 449, 450, 549, 550}) == "0 0 1 1 2");
}

TEST_CASE("place: a group begins half a head pitch before its first head, to the micrometre") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  Counters counters;
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(groups.on_group_start(1'000_mm, recipe));
  CHECK(groups.place_of(400_mm, recipe, counters).number == 0);
  CHECK(groups.place_of(1'350_mm - 1_um, recipe, counters).number == 1);
  CHECK(groups.place_of(1'350_mm, recipe, counters).number == 0);
}

TEST_CASE("place: of two groups begun the newer one holds, even if the older got no container") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  GroupPlace groups;
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(groups.on_group_start(1'000_mm, recipe));
  CHECK(places(groups, recipe, {1'500, 1'600}) == "0 1");
}

TEST_CASE("place: containers beyond the last place take it, and are counted") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  GroupPlace groups;
  Counters counters;
  CHECK(groups.on_group_start(0_mm, recipe));
  for (int i = 0; i < 4; ++i) CHECK(groups.place_of(400_mm, recipe, counters).number == i);
  CHECK(counters.value(Counter::kPlaceSaturated) == 0);
  CHECK(groups.place_of(800_mm, recipe, counters).number == 3);
  CHECK(counters.value(Counter::kPlaceSaturated) == 1);
}

TEST_CASE(
    "place: in front of a group's first head, by a recipe that came since, there is no place") {
  RecipeValues longer = inline_recipe(PlaceSource::kHeadNumber);
  longer.set(Parameter::kGroupStartToSensorUm, 700'000);
  GroupPlace groups;
  Counters counters;
  CHECK(groups.on_group_start(0_mm, Recipe(longer)));
  CHECK(groups.place_of(400_mm, Recipe(inline_recipe(PlaceSource::kHeadNumber)), counters).sure);
  const Place place = groups.place_of(500_mm, Recipe(longer), counters);
  CHECK(place.number == 0);
  CHECK_FALSE(place.sure);
  CHECK(counters.value(Counter::kGroupUnannounced) == 1);
}

TEST_CASE("place: as many groups as fit between signal and sensor are remembered, no more") {
  const Recipe recipe(inline_recipe(PlaceSource::kContainersAhead));
  GroupPlace groups;
  for (int i = 0; i < 64; ++i) CHECK(groups.on_group_start(Length{i}, recipe));
  CHECK_FALSE(groups.on_group_start(64_um, recipe));
}

TEST_CASE("place: without a place source group signals are not even stored") {
  const Recipe recipe(inline_recipe(PlaceSource::kNone));
  GroupPlace groups;
  for (int i = 0; i < 1'000; ++i) CHECK(groups.on_group_start(Length{i}, recipe));
  CHECK(places(groups, recipe, {400, 500}) == "0 0");
}

TEST_CASE("place: the first of a group gets its own dose, the last its larger one") {
  // Places wait 1 s and 3 s; the curve gives 1.0 and 1.5 times 200 mg: 20 and 30 ms.
  RecipeValues recipe = inline_recipe(PlaceSource::kContainersAhead);
  recipe.set(Parameter::kPlaceCount, 2);
  recipe.set(Parameter::kWaitSource, static_cast<int>(WaitSource::kPlace));
  recipe.set_slot(slot(Parameter::kPlaceWaitUs, 0), 1'000'000);
  recipe.set_slot(slot(Parameter::kPlaceWaitUs, 1), 3'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurveUs, 0), 1'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurveUs, 1), 3'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurvePpm, 0), 1'000'000);
  recipe.set_slot(slot(Parameter::kWaitCurvePpm, 1), 1'500'000);
  Script script;
  script.started(recipe).belt(0, 2'000'000, 10'000);
  script.pulse(100'000, Channel::kGroupStart, 1'000);  // 60 mm; first edge due at 460 mm
  script.container(770'000).container(940'000);        // 462 mm, 564 mm
  const Changes outputs = play(script, 2'000'000);
  // The longer shot leads by 5 000 us more.
  CHECK(history(outputs, Channel::kValve) == "1290000=1 1310000=0 1455000=1 1485000=0");
}

TEST_CASE("place: without a signal a gap longer than group_gap_um begins a group") {
  RecipeValues values = inline_recipe(PlaceSource::kContainersAhead);
  values.set(Parameter::kGroupGapUm, 300'000);
  const Recipe recipe(values);
  GroupPlace groups;
  // A head missing leaves 200 mm, a group's end 1 100 mm; 300 mm is still the same group.
  CHECK(places(groups, recipe, {400, 600, 700}) == "0 1 2");
  CHECK(places(groups, recipe, {1'800, 1'900, 2'000, 2'100, 2'400}) == "0 1 2 3 3");
  CHECK(places(groups, recipe, {2'701, 2'801}) == "0 1");
  // A signal that is wired all the same is not listened to.
  CHECK(groups.on_group_start(2'450_mm, recipe));
  CHECK(places(groups, recipe, {2'901}) == "2");
}

TEST_CASE("place: found by a gap, the first one seen counts as the first head's") {
  RecipeValues values = inline_recipe(PlaceSource::kHeadNumber);
  values.set(Parameter::kGroupGapUm, 300'000);
  GroupPlace groups;
  CHECK(places(groups, Recipe(values), {400, 600, 700}) == "0 2 3");
}

TEST_CASE("place: a group too small is told of when the next begins") {
  RecipeValues values = inline_recipe(PlaceSource::kContainersAhead);
  values.set(Parameter::kGroupSizeMin, 4);
  const Recipe recipe(values);
  GroupPlace groups;
  Counters counters;
  const auto short_group = [&](int edge_mm) {
    return groups.place_of(Length{edge_mm * 1'000LL}, recipe, counters).short_group;
  };
  CHECK(groups.on_group_start(0_mm, recipe));
  CHECK(groups.on_group_start(1'000_mm, recipe));
  CHECK(groups.on_group_start(2'000_mm, recipe));
  for (const int edge : {400, 500, 700}) CHECK(short_group(edge) == 0);
  CHECK(short_group(1'400) == 3);
  for (const int edge : {1'500, 1'600, 1'700}) CHECK(short_group(edge) == 0);
  CHECK(short_group(2'400) == 0);
  CHECK(counters.value(Counter::kGroupSizeWrong) == 1);
}

TEST_CASE("place: one container more than the group has places is not dosed, if that is checked") {
  RecipeValues values = inline_recipe(PlaceSource::kContainersAhead);
  values.set(Parameter::kGroupCheck, 1);
  values.set(Parameter::kHeadPitchUm, 0);
  const Recipe recipe(values);
  GroupPlace groups;
  Counters counters;
  CHECK(groups.on_group_start(0_mm, recipe));
  for (int i = 0; i < 4; ++i) CHECK(groups.place_of(400_mm, recipe, counters).sure);
  CHECK_FALSE(groups.place_of(800_mm, recipe, counters).sure);
  CHECK(counters.value(Counter::kPlaceSaturated) == 1);
}

TEST_CASE("place: behind a signal that was lost or late no head could have put the containers") {
  RecipeValues values = inline_recipe(PlaceSource::kContainersAhead);
  values.set(Parameter::kGroupCheck, 1);
  const Recipe recipe(values);
  GroupPlace groups;
  Counters counters;
  const auto sure = [&](int edge_mm) {
    return groups.place_of(Length{edge_mm * 1'000LL}, recipe, counters).sure;
  };
  CHECK(groups.on_group_start(0_mm, recipe));
  for (const int edge : {400, 500, 749}) CHECK(sure(edge));
  CHECK_FALSE(sure(750));    // half a pitch behind the fourth head
  CHECK_FALSE(sure(1'400));  // the next group, its signal lost
  CHECK(counters.value(Counter::kGroupUnannounced) == 2);
  CHECK(groups.on_group_start(2'200_mm, recipe));  // late: the group stands at 2 400 mm
  CHECK_FALSE(sure(2'400));
  CHECK(groups.on_group_start(3'000_mm, recipe));
  CHECK(sure(3'400));
}

TEST_CASE("place: a group that is too small is rejected as a whole, if it is still on its way") {
  RecipeValues recipe = inline_recipe(PlaceSource::kContainersAhead);
  recipe.set(Parameter::kGroupSizeMin, 4);
  recipe.set(Parameter::kGroupGapUm, 300'000);
  Script script;
  script.started(recipe).belt(0, 6'000'000, 10'000);
  script.container(103'000).container(253'000);
  for (int i = 0; i < 4; ++i) script.container(903'000 + 150'000 * i);
  const Changes outputs = play(script, 6'000'000);
  CHECK(history(outputs, Counter::kGroupSizeWrong) == "905500=1");
  CHECK(history(outputs, Counter::kRejected) == "1660000=1 1810000=2");
}

TEST_CASE("place: a gap before the first of a group tells at once that the group is too small") {
  RecipeValues values = inline_recipe(PlaceSource::kContainersAhead);
  values.set(Parameter::kGroupCheck, 1);
  values.set(Parameter::kGroupSizeMin, 4);
  const auto sure = [](const Recipe& recipe, std::initializer_list<int> edges_mm) {
    GroupPlace groups;
    Counters counters;
    CHECK(groups.on_group_start(0_mm, recipe));
    std::string text;
    for (const int edge : edges_mm) {
      text += groups.place_of(Length{edge * 1'000LL}, recipe, counters).sure ? 'y' : 'n';
    }
    return text;
  };
  CHECK(sure(Recipe(values), {400, 500, 600, 700}) == "yyyy");
  CHECK(sure(Recipe(values), {500, 600, 700}) == "nnn");  // the first head's is missing or unseen
  CHECK(sure(Recipe(values), {400, 600, 700}) == "ynn");
  values.set(Parameter::kGroupSizeMin, 3);
  CHECK(sure(Recipe(values), {500, 600, 700}) == "yyy");
  CHECK(sure(Recipe(values), {600, 700}) == "nn");
}
