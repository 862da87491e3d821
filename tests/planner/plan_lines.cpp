#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "harness/cli/plan_command.hpp"
#include "harness/cli/run_command.hpp"
#include "tests/planner/plan_support.hpp"

namespace rimebench {
namespace {

struct DemoLine {
  const char* plan;
  const char* scenario;
  std::size_t places;
};

/// Plans, writes the recipe, and runs the scenario with it through the commands; the verdict.
nlohmann::json planned_run(const DemoLine& line, const std::string& folder) {
  const std::string config = std::string(REPOSITORY_DIR) + "/config/";
  const std::string recipe = folder + "/recipe.yaml";
  std::ostringstream out;
  std::ostringstream err;
  PlanOptions plan;
  plan.file = config + "plans/" + line.plan;
  plan.recipe = recipe;
  REQUIRE(plan_command(plan, out, err) == ExitCode::kPass);
  std::ofstream(folder + "/scenario.yaml")
      << "from: " << config << "scenarios/" << line.scenario << "\nrecipe: {from: recipe.yaml}\n";
  RunOptions run;
  run.files = {folder + "/scenario.yaml"};
  run.json = "-";
  std::ostringstream verdict;
  CHECK(run_command(run, verdict, err) == ExitCode::kPass);
  CHECK(err.str().empty());
  return nlohmann::json::parse(verdict.str());
}

TEST_CASE("plan: its recipe run on the demo lines gives the target in every place of the group") {
  std::string pattern = (std::filesystem::temp_directory_path() / "rimebench_XXXXXX").string();
  REQUIRE(mkdtemp(pattern.data()) != nullptr);
  for (const DemoLine& line : {DemoLine{"rotary_can_355.yaml", "rotary_steady.yaml", 1},
                               DemoLine{"rotary_can_355.yaml", "speed_ramp.yaml", 1},
                               DemoLine{"rotary_can_355.yaml", "stop_restart.yaml", 1},
                               DemoLine{"inline4_can_355.yaml", "inline_ramp.yaml", 4},
                               DemoLine{"inline4_can_355.yaml", "inline_heads_missing.yaml", 2},
                               DemoLine{"screw_can_250.yaml", "timing_screw.yaml", 1}}) {
    CAPTURE(line.scenario);
    const nlohmann::json verdict = planned_run(line, pattern);
    const auto& places = verdict["places"];
    CHECK(places.size() == line.places);
    for (const auto& place : places) {
      // A hundred containers with a deviation of 10 kPa have a mean within 3 of the truth.
      CHECK(std::abs(place["equilibrium_kpa_mean"].get<double>() - 207.0) < 3.0);
    }
  }
  std::filesystem::remove_all(pattern);
}

TEST_CASE("plan: the waits it works out are those that the line gives, place by place") {
  const DosePlan plan = make_plan(inline4_plan());
  REQUIRE(plan.places.size() == 4);
  // 0.5 m at 0.25 m/s, 0.6 s in the seamer, and 0.8 s more for each place.
  for (int place = 0; place < 4; ++place) {
    const PlaceWait& wait = plan.places[static_cast<std::size_t>(place)].wait;
    CHECK(near(wait.expected.total(), 2.6 + 0.8 * place, 1e-9));
    CHECK(near(wait.shortest.total(), 2.6, 1e-9));
  }
  // A later container of a group gets more: common practice.
  for (std::size_t i = 1; i < 4; ++i) {
    CHECK(plan.places[i].shot.nozzle_kg > plan.places[i - 1].shot.nozzle_kg);
  }
  CHECK(plan.ramp_needed);
  CHECK_FALSE(make_plan(plan_file("rotary_can_355.yaml")).ramp_needed);
}

TEST_CASE("plan: a queue that reaches back past the nozzle saturates the ramp") {
  PlanSpec spec = inline4_plan();
  spec.line.filler.heads = 16;
  spec.line.filler.group_pitch_um = 6'000'000;
  const DosePlan plan = make_plan(spec);
  // Seven stand between nozzle and seamer; one that waited before the nozzle passes it 28.8 mm
  // after the queue moves, and is the eighth to be taken: 8 x 1.2 s - 0.115 s, then 0.6 s.
  CHECK(queue_room(spec) == 7);
  REQUIRE(plan.places.size() == 16);
  CHECK(plan.queue_saturates_at == 11);
  CHECK(near(plan.places[9].wait.expected.total(), 9.8, 1e-9));
  CHECK(near(plan.places[10].wait.expected.total(), 9.6 - 0.0288 / 0.25 + 0.6, 1e-9));
  CHECK(near(plan.places[15].wait.expected.total(), plan.places[10].wait.expected.total(), 1e-9));
  const PlanNote* const note = note_on(plan, "line.filler.heads");
  REQUIRE(note != nullptr);
  CHECK(note->nearest.find("10 heads at once") == 0);
}

}  // namespace
}  // namespace rimebench
