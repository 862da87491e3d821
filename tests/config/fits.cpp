#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

namespace {

struct Edit {
  const char* file;
  const char* from;
  const char* to;
};

Texts rotary(const Edit& edit) {
  Fixture fixture;
  fixture.edit(edit.file, edit.from, edit.to);
  return fixture.problems();
}

Texts queued(const Edit& edit) {
  Fixture fixture;
  fixture.use_queued_line();
  fixture.edit(edit.file, edit.from, edit.to);
  return fixture.problems();
}

}  // namespace

TEST_CASE("config: both fixtures are without a mistake") {
  Fixture fixture;
  CHECK(fixture.problems().empty());
  fixture.use_queued_line();
  CHECK(fixture.problems().empty());
}

TEST_CASE("config: a fill must go into the container as cold as it is filled") {
  // 374 ml at 20 C shrink by 69.3 ppm/K over 16 K to 373.585 ml: model.md, V_can_4C.
  CHECK(rotary({"scenario.yaml", "fill_ml: 355", "fill_ml: 373.5"}).empty());
  CHECK(rotary({"scenario.yaml", "fill_ml: 355", "fill_ml: 373.6"}) ==
        Texts{"scenario.yaml:5:12: product.fill_ml: 373.6 is more than the container holds, 373.5 "
              "ml at 4 C: container.brimful_ml 374 (can.yaml:1)"});
}

TEST_CASE("config: fills above 45 C are refused, for they are not modelled") {
  CHECK(rotary({"scenario.yaml", "fill_temperature_c: 4", "fill_temperature_c: 45"}).empty());
  CHECK(rotary({"scenario.yaml", "fill_temperature_c: 4", "fill_temperature_c: 45.5"}) ==
        Texts{"scenario.yaml:7:23: product.fill_temperature_c: 45.5 is above 45 (valid: 0..45 C; "
              "temperature of the drink as it is filled; warmer fills are not modelled)"});
}

TEST_CASE("config: the opening is narrower than the body") {
  CHECK(rotary({"can.yaml", "opening_um: 52400", "opening_um: 66100"}) ==
        Texts{"can.yaml:4:13: container.opening_um: 66100 is not less than container.body_um "
              "66100 (can.yaml:5)"});
}

TEST_CASE("config: containers do not touch between filler and nozzle") {
  CHECK(rotary({"line.yaml", "pitch_um: 90000", "pitch_um: 66100"}) ==
        Texts{"line.yaml:2:34: line.filler.pitch_um: 66100 lets containers touch: it must be more "
              "than container.body_um 66100 (can.yaml:5) plus six pitch_sd_um, 66100"});
  CHECK(rotary({"line.yaml", "pitch_um: 90000", "pitch_um: 90000, pitch_sd_um: 4000"}).size() == 1);
  CHECK(queued({"queued.yaml", "head_pitch_um: 100000", "head_pitch_um: 66100"}) ==
        Texts{"queued.yaml:5:18: line.filler.head_pitch_um: 66100 lets containers touch: it must "
              "be more than container.body_um 66100 (can.yaml:5) plus six pitch_sd_um, 66100"});
}

TEST_CASE("config: groups of an inline filler do not overlap") {
  CHECK(queued({"queued.yaml", "group_pitch_um: 600000", "group_pitch_um: 400000"}).empty());
  CHECK(queued({"queued.yaml", "group_pitch_um: 600000", "group_pitch_um: 399999"}) ==
        Texts{"queued.yaml:6:19: line.filler.group_pitch_um: 399999 is less than heads times "
              "head_pitch_um, 400000: groups would overlap"});
}

TEST_CASE("config: a filler has the keys of its kind only") {
  CHECK(rotary({"line.yaml", "kind: rotary", "kind: rotary, heads: 4"}) ==
        Texts{"line.yaml:2:24: line.filler.heads: unknown key (valid: kind, pitch_sd_um, "
              "pitch_um)"});
}

TEST_CASE("config: stations stand in the order of travel") {
  CHECK(rotary({"line.yaml", "nozzle_um: 500000", "nozzle_um: 300000"}) ==
        Texts{"line.yaml:5:14: line.stations.nozzle_um: 300000 is not beyond "
              "line.stations.sensor_um 300000 (line.yaml:4)"});
  CHECK(rotary({"line.yaml", "gate_um: 2300000", "gate_um: 1400000"}) ==
        Texts{"line.yaml:9:12: line.stations.gate_um: 1400000 is not beyond "
              "line.stations.discharge_um 1500000 (line.yaml:8)"});
  CHECK(rotary({"line.yaml", "  discharge_um: 1500000\n", ""}).empty());
  CHECK(rotary({"line.yaml", "  lid_um: 1000000\n", ""}) ==
        Texts{"line.yaml:4:3: line.stations.lid_um: a locked transport needs it"});
}

TEST_CASE("config: a queued line has a seamer with its own pace and a discharge sensor") {
  CHECK(queued({"queued.yaml", "  discharge_um: 1200000\n", ""}) ==
        Texts{"queued.yaml:8:3: line.stations.discharge_um: a queued line needs it"});
  CHECK(queued({"queued.yaml", "  seam_um: 900000\n", "  seam_um: 900000\n  lid_um: 800000\n"}) ==
        Texts{"queued.yaml:11:11: line.stations.lid_um: a queued line lays the lid in the seamer: "
              "line.seamer.lid_us"});
  CHECK(queued({"queued.yaml", "  lid_us: 40000", "  lid_us: 80000"}) ==
        Texts{"queued.yaml:16:12: line.seamer.seam_us: 80000 is not after line.seamer.lid_us 80000 "
              "(queued.yaml:15)"});
  CHECK(queued({"queued.yaml", "discharge_us: 170000", "discharge_us: 79999"}) ==
        Texts{"queued.yaml:17:17: line.seamer.discharge_us: 79999 is before line.seamer.seam_us "
              "80000 (queued.yaml:16)"});
  CHECK(rotary({"line.yaml", "gate:", "seamer: {cycle_us: 1}\ngate:"}) ==
        Texts{"line.yaml:16:1: line.seamer: only a queued line has a seamer of its own pace"});
}

TEST_CASE(
    "config: a seamer slower than the fastest line speed is refused with the slowest that will "
    "do") {
  // 400 a minute is one each 150 000 us.
  CHECK(queued({"queued.yaml", "cycle_us: 150000", "cycle_us: 150001"}) ==
        Texts{"queued.yaml:14:13: line.seamer.cycle_us: 150001 is too slow for 400 containers a "
              "minute (scenario.yaml:13): the queue would never empty (valid: 1..150000 us)"});
}

TEST_CASE("config: a gate is described exactly where there is one") {
  CHECK(rotary({"line.yaml", "  gate_um: 2300000\n", ""}) ==
        Texts{"line.yaml:15:1: line.gate: stations.gate_um says that there is no gate"});
  CHECK(rotary({"line.yaml", "gate: {delay_us: 20000}\n", ""}) ==
        Texts{"scenario.yaml:11:7: line.gate: missing"});
}

TEST_CASE("config: speeds rise in time from 0, and the line moves at all") {
  CHECK(rotary({"scenario.yaml", "{at_us: 0, ", "{at_us: 1, "}) ==
        Texts{"scenario.yaml:13:13: speed[1].at_us: the first is not 0"});
  CHECK(rotary({"scenario.yaml", "at_us: 30000000", "at_us: 0"}) ==
        Texts{"scenario.yaml:14:13: speed[2].at_us: 0 does not rise above 0 before it"});
  CHECK(rotary({"scenario.yaml",
                "\n  - {at_us: 0, containers_per_min: 300}\n"
                "  - {at_us: 30000000, containers_per_min: 400}",
                " [{at_us: 0, containers_per_min: 0}]"}) ==
        Texts{"scenario.yaml:12:8: speed: the line never moves"});
}

TEST_CASE("config: stops follow each other inside the feed") {
  const auto stops = [](const char* list) {
    const std::string text = std::string("happens: {stops: [") + list + "]}\nexpect:";
    return rotary({"scenario.yaml", "expect:", text.c_str()});
  };
  CHECK(stops("{at_us: 5, for_us: 9, coast_us: 9, ramp_us: 6}, "
              "{at_us: 20, for_us: 9, coast_us: 1, ramp_us: 59999971}")
            .empty());
  CHECK(stops("{at_us: 5, for_us: 9, coast_us: 10, ramp_us: 6}, "
              "{at_us: 19, for_us: 9, coast_us: 1, ramp_us: 59999973}") ==
        Texts{"scenario.yaml:23:51: happens.stops[1].coast_us: 10 is longer than the stop itself",
              "scenario.yaml:23:76: happens.stops[2].at_us: 19 is before the stop above has ended, "
              "20",
              "scenario.yaml:23:76: happens.stops[2].at_us: the stop ends at 60000001, after "
              "feed_us 60000000 (scenario.yaml:2)"});
}

TEST_CASE("config: missing heads are heads of the filler, each named once") {
  const char* const missing = "happens: {heads_missing: [2, 2, 5]}\nexpect:";
  CHECK(queued({"scenario.yaml", "expect:", missing}) ==
        Texts{"scenario.yaml:23:30: happens.heads_missing[2]: 2 does not rise above 2 before it",
              "scenario.yaml:23:33: happens.heads_missing[3]: 5 is more than line.filler.heads 4 "
              "(queued.yaml:4)"});
  CHECK(rotary({"scenario.yaml", "expect:", "happens: {heads_missing: [2]}\nexpect:"}) ==
        Texts{"scenario.yaml:23:26: happens.heads_missing: only an inline filler has heads"});
}

TEST_CASE("config: chatter comes in pairs of edges") {
  CHECK(rotary({"scenario.yaml",
                "expect:", "happens: {chatter: {share_ppm: 1, edges: 3, gap_us: 5}}\nexpect:"}) ==
        Texts{"scenario.yaml:23:42: happens.chatter.edges: 3 is not an even number"});
}

TEST_CASE("config: recipe curves rise and have as many values as points") {
  CHECK(rotary({"scenario.yaml", "open_curve_us: [8000, 25000]", "open_curve_us: [8000, 8000]"}) ==
        Texts{"scenario.yaml:20:25: recipe.open_curve_us[2]: 8000 does not rise above 8000 before "
              "it"});
  CHECK(rotary({"scenario.yaml", "open_curve_us: [8000, 25000]", "open_curve_us: [8000]"}) ==
        Texts{"scenario.yaml:20:18: recipe.open_curve_us: 1 entry, but open_curve_ug has 2 "
              "(scenario.yaml:19)"});
  CHECK(rotary({"scenario.yaml", "open_curve_us: [8000, 25000]",
                "open_curve_us: [1, 2, 3, 4, 5, 6, 7, 8, 9]"}) ==
        Texts{"scenario.yaml:20:43: recipe.open_curve_us: more than 8 entries"});
  CHECK(rotary({"scenario.yaml",
                "  open_curve_ug: [20000, 80000]\n  open_curve_us: [8000, 25000]\n", ""}) ==
        Texts{"scenario.yaml:16:3: recipe.open_curve_ug: no valve calibration, so no dose"});
}

TEST_CASE("config: a recipe that doses by place has a wait for each place") {
  CHECK(rotary({"scenario.yaml", "dose_ug: 70000",
                "dose_ug: 70000\n  wait_source: place\n  place_count: 2\n  place_wait_us: [1]"}) ==
        Texts{"scenario.yaml:24:18: recipe.place_wait_us: 1 entry, but place_count is 2"});
}

TEST_CASE("config: the least pressure allowed is less than the most") {
  CHECK(rotary({"scenario.yaml", "equilibrium_kpa_max: 250", "equilibrium_kpa_max: 160.0"}) ==
        Texts{"scenario.yaml:24:62: expect.container.equilibrium_kpa_max: 160 is not more than "
              "expect.container.equilibrium_kpa_min 160 (scenario.yaml:24)"});
}

TEST_CASE("config: a scenario that claims anything but a steady line says why it exists") {
  CHECK(rotary({"scenario.yaml", "title: fixture", "title: fixture\nclaim: escape"}) ==
        Texts{"scenario.yaml:2:8: claim: reason must say why it is not steady"});
  CHECK(
      rotary({"scenario.yaml", "title: fixture", "title: fixture\nclaim: escape\nreason: too soft"})
          .empty());
}

TEST_CASE("config: a scenario that claims a lost link has one that fails") {
  const char* const claims = "title: fixture\nclaim: lost\nreason: too thin a cable";
  CHECK(rotary({"scenario.yaml", "title: fixture", claims}) ==
        Texts{"scenario.yaml:2:8: claim: lost needs happens.link_fault: nothing here loses the "
              "link"});
}

TEST_CASE("config: a scenario that claims to be handled limits what is rejected for nothing") {
  CHECK(rotary({"scenario.yaml", "title: fixture",
                "title: fixture\nclaim: handled\nreason: why not"}) ==
        Texts{"scenario.yaml:2:8: claim: handled needs expect.false_rejects_percent_max: a "
              "controller that rejects everything lets nothing bad leave either"});
}
