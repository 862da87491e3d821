#include "harness/config/disturbance_tables.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

#include "tests/config/fixture.hpp"

using namespace rimebench;

namespace {

/// The mistakes of the fixture with these happenings, on the rotary line or the queued one.
Texts problems_of(const std::string& happens, bool queued = false) {
  Fixture fixture;
  if (queued) fixture.use_queued_line();
  fixture.edit("scenario.yaml", "expect:", "happens: {" + happens + "}\nexpect:");
  return fixture.problems();
}

Texts one_problem(const std::string& text) { return {"scenario.yaml:23:" + text}; }

}  // namespace

TEST_CASE("config: every disturbance has a key of its own, and each key is described") {
  const std::string described = describe_keys();
  std::set<std::string> keys;
  for (const SpellKey& key : kSpellKeys) {
    CHECK(keys.insert(key.key.key).second);
    for (const Row<Spell>& row : key.rows) {
      const std::string path = std::string("\nhappens.") + key.key.key + "[]." + row.key + " | ";
      CHECK(described.find(path) != std::string::npos);
    }
  }
  for (const MishapKey& key : kMishapKeys) {
    CHECK(keys.insert(key.key).second);
    for (const Row<Mishap>& row : key.rows) {
      const std::string path = std::string("\nhappens.") + key.key + '.' + row.key + " | ";
      CHECK(described.find(path) != std::string::npos);
    }
  }
}

TEST_CASE("config: all disturbances of a queued line at once come back the same") {
  Fixture fixture;
  fixture.use_queued_line();
  fixture.edit("scenario.yaml", "expect:", R"(happens:
  stops: [{per_hour: 3, for_us: 5, for_us_max: 9, coast_us: 1, ramp_us: 0}]
  sensor_drift_um_per_h: -7
  sensor_stuck_high: [{at_us: 200000, for_us: 5}]
  creeps: [{per_hour: 2, for_us: 8, percent: 5}]
  hunting: [{at_us: 300000, for_us: 5000000, percent: 3, period_us: 1000000}]
  emergency_stops: [{at_us: 9000000, for_us: 70000}]
  seamer_slow: [{at_us: 200000, for_us: 9, percent: 130}]
  splash_echo: {share_ppm: 4, after_us: 5, for_us: 6}
  short_groups: {share_ppm: 4, heads: 3}
  wrong_container: {share_ppm: 4, brimful_ml: 400, fill_ml: 300, rim_to_drink_um: 9000}
  operator: [{at_us: 200000, press: test_shots, shots: 4}, {at_us: 300000, press: stop}]
expect:)");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  const Happenings& happens = scenario->plant.happens;
  CHECK(happens.stops[0].at == kNever);
  CHECK(happens.stops[0].lasts_max == Duration{9});
  CHECK(happens.of(SpellKind::kCreep)[0].per_hour == 2.0);
  CHECK(happens.of(SpellKind::kCreep)[0].ramp == 500_ms);
  CHECK(happens.of(MishapKind::kSplashEcho).lasts == Duration{6});
  CHECK(happens.operator_acts[1].button == Button::kStop);
  Diagnostics diagnostics;
  const auto again = parse_resolved(scenario->resolved_text, diagnostics);
  REQUIRE(again);
  CHECK(again->resolved_text == scenario->resolved_text);
  CHECK(again->plant.happens.operator_acts[0].shots == 4);
}

TEST_CASE("config: a disturbance is scheduled or drawn, not both and not neither") {
  CHECK(problems_of("creeps: [{for_us: 8, percent: 5}]") ==
        one_problem("20: happens.creeps[1].at_us: neither at_us nor per_hour is given"));
  CHECK(problems_of("creeps: [{at_us: 200000, per_hour: 1, for_us: 8, percent: 5}]") ==
        one_problem("28: happens.creeps[1].at_us: at_us and per_hour exclude each other"));
}

TEST_CASE("config: spells of one kind follow each other inside the feed") {
  CHECK(
      problems_of("safety_chain_open: [{at_us: 200000, for_us: 9}, {at_us: 200008, for_us: 9}]") ==
      one_problem("67: happens.safety_chain_open[2].at_us: 200008 is before the one above has "
                  "ended, 200009"));
  CHECK(problems_of("link_flickers: [{at_us: 59999999, for_us: 9}]") ==
        one_problem("35: happens.link_flickers[1].at_us: it ends at 60000008, after feed_us "
                    "60000000"));
}

TEST_CASE("config: what is turned by hand stands in a stop, and only a locked block goes back") {
  const std::string stop = "stops: [{at_us: 1000000, for_us: 5000000, coast_us: 9, ramp_us: 9}], ";
  CHECK(problems_of(stop + "jogs: [{at_us: 2000000, for_us: 9, um_per_s: -5}]").empty());
  CHECK(problems_of(stop + "jogs: [{at_us: 7000000, for_us: 9, um_per_s: 5}]").size() == 1);
  CHECK(problems_of(stop + "jogs: [{at_us: 2000000, for_us: 9, um_per_s: 0}]").size() == 1);
  CHECK(problems_of(stop + "jogs: [{at_us: 2000000, for_us: 9, um_per_s: -5}]", true).size() == 1);
}

TEST_CASE("config: no block is turned back so far that what has left the line came by a sensor") {
  const auto problems = [](const std::string& more) {
    return problems_of(
        "stops: [{at_us: 1000000, for_us: 5000000, coast_us: 9, ramp_us: 9}, {at_us: 9000000, "
        "for_us: 5000000, coast_us: 9, ramp_us: 9}], jogs: [{at_us: 1500000, for_us: 2000000, "
        "um_per_s: -200000}" +
        more + "]");
  };
  CHECK(problems("") == Texts{});
  CHECK(problems(", {at_us: 10000000, for_us: 2000000, um_per_s: -200000}").empty());
  CHECK(problems(", {at_us: 3600000, for_us: 2000000, um_per_s: 200000}").empty());
  // From the gate back to the discharge sensor, less half a container.
  CHECK(problems(", {at_us: 3600000, for_us: 2000000, um_per_s: -200000}") ==
        one_problem("245: happens.jogs[2].um_per_s: turns the block back by 800000 um in all: what "
                    "has passed the last station would come by a sensor again (valid: at most "
                    "766950 um)"));
}

TEST_CASE("config: a line is not disturbed in what it does not have") {
  CHECK(problems_of("seamer_stops: [{at_us: 200000, for_us: 9}]").size() == 1);
  CHECK(problems_of("seamer_stops: [{at_us: 200000, for_us: 9}]", true).empty());
  CHECK(problems_of("group_signal_lost: {share_ppm: 5}").size() == 1);
  CHECK(problems_of("short_groups: {share_ppm: 5, heads: 4}", true).size() == 1);
  CHECK(problems_of("fallen: {share_ppm: 5, length_um: 2000}").size() == 1);
  CHECK(problems_of("operator: [{at_us: 200000, press: start, shots: 2}]").size() == 1);
}

TEST_CASE("config: a share, a moment and a percentage keep to their ranges") {
  CHECK(problems_of("unseen: {share_ppm: 1000001}") ==
        one_problem("31: happens.unseen.share_ppm: 1000001 is above 1000000 (valid: 0..1000000 "
                    "ppm; so many of a million, at random)"));
  CHECK(problems_of("slips: [{at_us: 99999, for_us: 9, percent: 91}]").size() == 2);
}
