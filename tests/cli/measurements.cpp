/// What was measured on the line, back into the recipe: fit and trim.

#include <fmt/format.h>

#include "harness/config/load.hpp"
#include "tests/cli/desk.hpp"
#include "tests/planner/trim_packs.hpp"

using namespace rimebench;

namespace {

constexpr const char* kWeighings =
    "# twenty shots each\n"
    "open_us,shots,mass_g\n"
    "8000,20,0.4201\n14000,20,0.8396\n25000,20,1.6112\n40000,20,2.6594\n60000,20,4.0611\n"
    "8000,20,0.4188\n14000,20,0.8411\n25000,20,1.6087\n40000,20,2.6613\n60000,20,4.0588\n";

Scenario inline_scenario() {
  Diagnostics diagnostics;
  auto scenario = load_scenario(scenario_of_demo("inline_ramp"), {}, diagnostics);
  REQUIRE(scenario);
  return *scenario;
}

/// Twelve packs of the demo line as its own model makes them.
std::string readings(const PlantSpec& spec) {
  std::string text = "place,gauge_kpa,pack_c,minutes,shaken,dead_ml,fill_g\n";
  for (const PackReading& pack : pierced_packs(spec, {6.8, 1.0, 0.93}, spec.recipe, 3, 21)) {
    text +=
        fmt::format("{},{:.1f},{:.1f},{:.0f},yes,{:.1f},{:.1f}\n", pack.place,
                    pack.gauge_Pa / 1000.0, pack.pack_c, pack.minutes, pack.dead_ml, pack.fill_g);
  }
  return text;
}

}  // namespace

TEST_CASE("command: weighings become the open curve of a recipe that the bench accepts") {
  const Desk desk;
  put_content(desk / "w.csv", kWeighings);
  const Ended fit = desk.run({"fit", "w.csv", "--recipe", "valve.yaml"});
  CHECK(fit.err.empty());
  CHECK(fit.code == 0);
  CHECK(says(fit.out, "valve calibration: w.csv, 10 rows, 8 degrees of freedom"));
  CHECK(says(fit.out, "outliers     none"));
  const std::string recipe = content_of(REPOSITORY_DIR "/config/recipes/rotary_can_355.yaml");
  std::string without_curve;
  for (std::size_t at = 0; at < recipe.size();) {
    const std::size_t end = recipe.find('\n', at) + 1;
    const std::string line = recipe.substr(at, end - at);
    if (!says(line, "open_curve") && !says(line, "open_us_min")) without_curve += line;
    at = end;
  }
  put_content(desk / "recipe.yaml", "from: valve.yaml\n" + without_curve);
  desk.put("fitted.yaml", "recipe: {from: recipe.yaml}\n");
  const Ended run = desk.run({"run", "fitted.yaml"});
  CHECK(run.err.empty());
  CHECK(run.code == 0);
}

TEST_CASE("command: weighings that bend are shown, and give no recipe") {
  const Desk desk;
  std::string bent = kWeighings;
  for (const char* mass : {"0.4201", "0.4188"}) bent.replace(bent.find(mass), 6, "0.3500");
  bent.replace(bent.find("0.3500"), 6, "0.3501");
  put_content(desk / "w.csv", bent);
  const Ended fit = desk.run({"fit", "w.csv", "--recipe", "valve.yaml"});
  CHECK(fit.code == 1);
  CHECK(says(fit.out, "NOT a straight line"));
  CHECK_FALSE(desk.has("valve.yaml"));
}

TEST_CASE("command: every mistake in a table of measurements is named with its place") {
  const Desk desk;
  put_content(desk / "w.csv",
              "open_us,shots,mass_g,head_mn\n50,20,1.2,250\n14000,20,nan,250\n25000,,-3,250\n");
  const Ended fit = desk.run({"fit", "w.csv"});
  CHECK(fit.code == 3);
  CHECK(fit.out.empty());
  CHECK(fit.err ==
        "w.csv:1:22: head_mn: no such column; head_mm?\n"
        "w.csv:2:1: open_us: 50 is out of range (valid: 100..2000000 us)\n"
        "w.csv:3:10: mass_g: nan is not a finite number (valid: 1e-04..10000 g)\n"
        "w.csv:4:7: shots: an empty field (valid: 1..100000)\n"
        "w.csv:4:8: mass_g: -3 is out of range (valid: 1e-04..10000 g)\n");
  put_content(desk / "same.csv", "open_us,shots,mass_g\n14000,20,1.2\n14000,20,1.1\n");
  const Ended same = desk.run({"fit", "same.csv"});
  CHECK(same.code == 3);
  CHECK(says(same.err, "same.csv: open_us: 2 weighings at 1 open times: a line needs 4"));
  put_content(desk / "ragged.csv", "time_s,mass_g\n0,0.08\n0.1\n");
  CHECK(says(desk.run({"fit", "ragged.csv"}).err,
             "ragged.csv:3:1: 1 field, but the line of column names has 2"));
  put_content(desk / "empty.csv", "");
  CHECK(desk.run({"fit", "empty.csv"}).code == 3);
}

TEST_CASE("command: twelve punctured packs give a recipe that passes on the line they came from") {
  const Desk desk;
  const Scenario scenario = inline_scenario();
  put_content(desk / "packs.csv", readings(scenario.plant));
  const Ended trim = desk.run({"trim", "packs.csv", "--scenario", scenario_of_demo("inline_ramp"),
                               "--recipe", "next.yaml"});
  CHECK(trim.err.empty());
  CHECK(trim.code == 0);
  CHECK(says(trim.out, "SAMPLING SHEET"));
  // The line as the packs knew it: a boil-off of 6.8 s, a valve that gives 93 %.
  put_content(desk / "next_run.yaml",
              "from: " + scenario_of_demo("inline_ramp") +
                  "\nrecipe: {from: next.yaml}\n"
                  "line: {valve: {flow_ug_per_us: 3.255}, boil_off: {tau_belt_s: 6.8, tau_lid_s: "
                  "6.8}}\n");
  const Ended run = desk.run({"run", "next_run.yaml"});
  CHECK(run.err.empty());
  CHECK(run.code == 0);
}

TEST_CASE("command: readings that cannot be are refused before anything is worked out") {
  const Desk desk;
  put_content(desk / "packs.csv",
              "place,gauge_kpa,pack_c,minutes,shaken,dead_ml,fill_g\n"
              "5,200,20,0.1,maybe,2,355\n1,inf,20,30,yes,-1,373\n");
  const Ended trim = desk.run({"trim", "packs.csv", "--scenario", scenario_of_demo("inline_ramp")});
  CHECK(trim.code == 3);
  CHECK(trim.err ==
        "packs.csv:2:1: place: 5 is out of range (valid: 1..4)\n"
        "packs.csv:2:10: minutes: 0.1 is out of range (valid: 0.4..1000000 min)\n"
        "packs.csv:2:14: shaken: maybe is no such word (valid: yes, no)\n"
        "packs.csv:3:3: gauge_kpa: inf is not a finite number (valid: -100..2000 kPa)\n"
        "packs.csv:3:17: dead_ml: -1 is out of range (valid: 0..50 ml)\n"
        "packs.csv:3:20: fill_g: 373 is out of range (valid: 1..372.13 g)\n");
  put_content(desk / "none.csv", "place,pack_c,minutes,shaken,dead_ml,fill_g\n1,20,30,yes,2,355\n");
  CHECK(says(desk.run({"trim", "none.csv", "--scenario", scenario_of_demo("inline_ramp")}).err,
             "none.csv: gauge_kpa: no such column, nor gauge_psi"));
}
