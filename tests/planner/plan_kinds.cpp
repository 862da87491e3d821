#include "tests/planner/plan_support.hpp"

namespace rimebench {
namespace {

TEST_CASE("plan: a solid insert is a smaller can, and its gas is headspace once it is sealed") {
  PlanSpec smaller = worked_plan();
  smaller.container.expansion_ppm_per_k = 0.0;
  PlanSpec with_insert = smaller;
  with_insert.container.brimful_ml += 10.0;
  with_insert.container.insert_ml = 10.0;
  const double plain = make_plan(smaller).places.front().pack.sealed_kg;
  CHECK(near(make_plan(with_insert).places.front().pack.sealed_kg, plain, 1.0e-9));
  with_insert.container.insert_gas_ml = 8.0;
  const double more = make_plan(with_insert).places.front().pack.sealed_kg;
  // Another 8 ml to be brought from the room's pressure to the target: about 2.1 mg for each.
  CHECK(std::abs((more - plain) * 1e6 / 8.0 - 2.3) < 0.4);
}

TEST_CASE("plan: in dry goods nothing dissolves, so the pack settles where it starts") {
  const PlanSpec spec = plan_file("dry_powder_tub.yaml");
  const DosePlan plan = make_plan(spec);
  REQUIRE(plan.solved);
  CHECK(near(plan.oxygen.headspace_percent, 2.0, 1.0e-9));
  for (const PressureRow& row : plan.pressures) {
    CHECK(near(*row.prompt_Pa, *row.equilibrium_Pa, 1.0e-9));
  }
  CHECK(plan.target_nitrogen_mg_per_kg == 0.0);
  PlanSpec wrong = spec;
  wrong.target.kind = TargetKind::kDissolvedNitrogen;
  wrong.target.value = 50.0;
  const DosePlan refused = make_plan(wrong);
  CHECK(note_on(refused, "target.dissolved_nitrogen_mg_per_kg") != nullptr);
}

TEST_CASE(
    "plan: a plastic bottle that is to hold its pressure for a month is dosed for the creep") {
  PlanSpec spec = plan_file("pet_500.yaml");
  const double month = make_plan(spec).places.front().pack.sealed_kg;
  spec.target.after_days = 0.0;
  CHECK(make_plan(spec).places.front().pack.sealed_kg < month);
}

TEST_CASE("plan: a drink that takes up less gas needs less, and stands at the same pressure") {
  PlanSpec spec = worked_plan();
  const PlacePlan water = make_plan(spec).places.front();
  spec.product.solubility_percent = 85.0;  // about 10 % of sugar
  const PlacePlan sugar = make_plan(spec).places.front();
  CHECK(sugar.pack.sealed_kg < water.pack.sealed_kg);
  CHECK(near(*sugar.equilibrium_Pa, *water.equilibrium_Pa, 1.0e-9));
}

}  // namespace
}  // namespace rimebench
