#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "harness/cli/plan_command.hpp"
#include "harness/config/recipe_text.hpp"
#include "tests/planner/plan_support.hpp"

namespace rimebench {
namespace {

/// A plan file of its own beside the demo's, gone again afterwards.
class Scratch {
 public:
  Scratch() {
    std::string pattern = (std::filesystem::temp_directory_path() / "rimebench_XXXXXX").string();
    REQUIRE(mkdtemp(pattern.data()) != nullptr);
    folder_ = pattern;
  }
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  std::string write(const std::string& text) const {
    std::ofstream(path("plan.yaml")) << text;
    return path("plan.yaml");
  }
  std::string path(const std::string& name) const { return folder_ + '/' + name; }

 private:
  std::string folder_;
};

std::string demo(const std::string& file) {
  return "{from: " + std::string(REPOSITORY_DIR) + "/config/" + file + "}";
}

std::string plan_text_with(const std::string& product, const std::string& target) {
  return "title: \"a plan\"\ncontainer: " + demo("containers/can_355.yaml") +
         "\nproduct: " + product + "\nline: " + demo("lines/rotary.yaml") +
         "\ncontainers_per_min: 300\ntarget: " + target + "\n";
}

std::string problems_of(const std::string& text) {
  const Scratch scratch;
  Diagnostics diagnostics;
  const auto spec = load_plan(scratch.write(text), diagnostics);
  CHECK(spec.has_value() == diagnostics.empty());
  std::string all;
  for (const Diagnostic& diagnostic : diagnostics) {
    all += diagnostic.where.key + ": " + diagnostic.problem + "\n";
  }
  return all;
}

const std::string kWater = demo("products/still_water_355.yaml");

TEST_CASE("plan file: psi, degrees F and US fluid ounces are the same plan as SI") {
  const Scratch scratch;
  Diagnostics diagnostics;
  const std::string ounces =
      "{from: " + std::string(REPOSITORY_DIR) +
      "/config/products/still_water_355.yaml, fill_us_fl_oz: 12, fill_temperature_f: 39.2}";
  const auto spec = load_plan(
      scratch.write(plan_text_with(ounces, "{equilibrium_psi: 30, at_f: 68, tolerance_psi: 3}")),
      diagnostics);
  REQUIRE(spec.has_value());
  CHECK(near(spec->product.fill_ml, 354.882, 1e-6));
  CHECK(near(spec->product.fill_temperature_c, 4.0, 1e-9));
  CHECK(near(spec->target.value, 206.8427, 1e-6));
  CHECK(near(spec->target.at_c, 20.0, 1e-9));
  CHECK(near(spec->target.tolerance_kpa, 20.684, 1e-4));
}

TEST_CASE("plan file: the same figure in two units is a mistake, and so is none or a wrong one") {
  CHECK(problems_of(plan_text_with(kWater, "{equilibrium_psi: 30, equilibrium_kpa: 207}")) ==
        "target.equilibrium_psi: equilibrium_kpa is given too: one of them must go\n");
  CHECK(problems_of(plan_text_with(kWater, "{at_c: 20}")).find("target: missing: one of") == 0);
  CHECK(problems_of(plan_text_with(kWater, "{equilibrium_kpa: 1, total_package_oxygen_ppb: 9}"))
            .find("target: more than one") == 0);
  CHECK(problems_of(plan_text_with(kWater, "{equilibrium_kpa: nan}")).find("equilibrium_kpa") !=
        std::string::npos);
  CHECK(problems_of(plan_text_with(kWater, "{equilibrium_kp: 207}")).find("nearest") !=
        std::string::npos);
}

TEST_CASE("plan file: a fill larger than the container and a hot fill name the key and the limit") {
  const std::string water = std::string(REPOSITORY_DIR) + "/config/products/still_water_355.yaml";
  const std::string over =
      problems_of(plan_text_with("{from: " + water + ", fill_ml: 400}", "{equilibrium_kpa: 207}"));
  CHECK(over.find("product.fill_ml: 400 is more than the container holds, 373.5 ml") == 0);
  const std::string hot = problems_of(
      plan_text_with("{from: " + water + ", fill_temperature_c: 60}", "{equilibrium_kpa: 207}"));
  CHECK(hot.find("product.fill_temperature_c: 60 is above 45") == 0);
}

TEST_CASE("plan file: a calibration that is left out is named, with what it is worth") {
  const PlanSpec spec = plan_file("dry_powder_tub.yaml");
  const auto named = [&](const std::string& key) {
    return std::any_of(spec.defaults.begin(), spec.defaults.end(),
                       [&](const PlanDefault& one) { return one.key == key; });
  };
  CHECK(named("line.headspace.cold_gas_k"));
  CHECK(named("line.losses.flash_percent"));
  CHECK(named("container.compliance_ml_per_mpa"));
  CHECK_FALSE(named("line.boil_off.tau_belt_s"));
  CHECK_FALSE(named("line.headspace.air_ingress_ml_per_s"));
}

TEST_CASE(
    "plan file: every demo plan is planned, and its recipe is within the controller's ranges") {
  for (const char* name :
       {"worked_example.yaml", "rotary_can_355.yaml", "inline4_can_355.yaml", "screw_can_250.yaml",
        "dry_powder_tub.yaml", "pet_500.yaml", "widget_440.yaml"}) {
    CAPTURE(name);
    const DosePlan plan = make_plan(plan_file(name));
    for (const PlanNote& note : plan.notes) CAPTURE(note.text);
    CHECK_FALSE(any_refusal(plan.notes));
    CHECK(plan.recipe.has_value());
  }
}

TEST_CASE("plan command: exit codes, a refused plan writes no recipe, JSON never says NaN") {
  const Scratch scratch;
  std::ostringstream out;
  std::ostringstream err;
  const std::string good = scratch.write(plan_text_with(kWater, "{equilibrium_kpa: 207}"));
  CHECK(plan_command({good, "-", scratch.path("good.yaml"), ""}, out, err) == ExitCode::kPass);
  CHECK(std::filesystem::exists(scratch.path("good.yaml")));
  CHECK(out.str().find("\"plan\": \"plan\"") < out.str().find("\"places\""));
  CHECK(out.str().find("nan") == std::string::npos);
  const std::string high = scratch.write(plan_text_with(kWater, "{equilibrium_kpa: 400}"));
  CHECK(plan_command({high, "", scratch.path("high.yaml"), ""}, out, err) == ExitCode::kFail);
  CHECK_FALSE(std::filesystem::exists(scratch.path("high.yaml")));
  CHECK(out.str().find("REFUSED  target.equilibrium_kpa") != std::string::npos);
  const std::string bad = scratch.write("title: nothing\n");
  CHECK(plan_command({bad, "", "", ""}, out, err) == ExitCode::kBadInput);
  CHECK(err.str().find("container: missing") != std::string::npos);
}

}  // namespace
}  // namespace rimebench
