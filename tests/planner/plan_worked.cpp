#include "tests/planner/plan_support.hpp"

// The figures come from one worked example, computed apart with the reference equation of state of
// nitrogen; ours uses the handbook's second virial coefficient.
namespace rimebench {
namespace {

TEST_CASE("plan: the worked example, 63.0 mg sealed, 76.0 landed, 77.5 at the nozzle, 44.3 ms") {
  const DosePlan plan = make_plan(worked_plan());
  REQUIRE(plan.places.size() == 1);
  const PlacePlan& place = plan.places.front();
  CHECK(near(place.wait.expected.total(), 1.5));
  CHECK(near(place.pack.sealed_kg, 63.0414e-6));
  CHECK(near(place.pack.landed_kg, 75.9934e-6));
  CHECK(near(place.pack.evaporated_kg(), 12.952e-6));
  CHECK(near(place.shot.nozzle_kg, 77.5443e-6));
  CHECK(near(place.shot.flow_s, 40.3015e-3));
  CHECK(near(place.shot.open_s, 44.3015e-3));
  CHECK(near(place.shot.streak_m, 26.8811e-3));
  CHECK(near(plan.view.jet.flow_kg_per_s, 1.9241e-3));
  CHECK(near(plan.view.jet.speed_m_per_s, 2.21435));
  CHECK(near(plan.view.to_drink_s, 25.6403e-3));
  CHECK(near(plan.view.to_drink_s * plan.view.belt_m_per_s, 17.1021e-3));
  CHECK(near(place.pack.gas.gas_K, 250.0));
  CHECK(near(place.pack.gas.air_fraction, 0.600293));
  CHECK(near(plan.oxygen.headspace_percent, 12.5737));
  CHECK(near(plan.oxygen.total_ppb, 10701.9));
  CHECK(near(plan.oxygen.dissolved_ppb, 500.0));
  CHECK(near(plan.target_nitrogen_mg_per_kg, 57.893));
  CHECK_FALSE(any_refusal(plan.notes));
}

TEST_CASE("plan: the worked example's pressures from a cold store to the tunnel") {
  const PlanSpec spec = worked_plan();
  const DosePlan plan = make_plan(spec);
  const PackPlan packs(spec);
  const Pack& pack = plan.places.front().pack;
  struct Row {
    double celsius, settled_kPa, prompt_kPa;
  };
  for (const Row& row :
       {Row{4, 170.07, 267.49}, Row{20, 206.84, 292.65}, Row{25, 219.97, 305.00},
        Row{38, 259.59, 347.85}, Row{60, 354.05, 466.76}, Row{63, 370.73, 489.16}}) {
    CAPTURE(row.celsius);
    CHECK(near(packs.equilibrium_Pa(pack, row.celsius).value(), row.settled_kPa * 1000.0));
    CHECK(near(packs.prompt_Pa(pack, row.celsius).value(), row.prompt_kPa * 1000.0));
  }
  // A de-aerated drink under plain air falls to -4.2 psig at 4 C.
  CHECK(std::abs(plan.undosed_cold_Pa.value() / 6894.757 - -4.2) < 0.05);
}

TEST_CASE("plan: the same can with 10 ml more in it goes over its rating at 60 C") {
  PlanSpec spec = worked_plan();
  spec.container.rating_safety_factor = 1.0;
  CHECK_FALSE(any_refusal(make_plan(spec).notes));
  spec.product.fill_ml = 365.0;
  const DosePlan plan = make_plan(spec);
  const PlanNote* const note = note_on(plan, "target.equilibrium_kpa");
  REQUIRE(note != nullptr);
  CHECK(note->text.find("at 60 C is 70") != std::string::npos);  // 703 kPa in the example
  CHECK(note->nearest.find("kPa") != std::string::npos);
  CHECK_FALSE(plan.recipe.has_value());
}

TEST_CASE("plan: what a millilitre, the gas's temperature, a stiffer wall are worth") {
  const DosePlan plan = make_plan(worked_plan());
  const auto psi_of = [&](const std::string& key) {
    for (const Sensitivity& one : plan.sensitivities) {
      if (one.key == key) return one.pascal / 6894.757;
    }
    FAIL("not listed");
    return 0.0;
  };
  // +1.046 psi in the example holds the gas's composition; here the boil-off sweeps less headspace.
  CHECK(std::abs(psi_of("product.fill_ml") - 1.046) < 0.1);
  CHECK(std::abs(psi_of("headspace gas at the seam") - -1.16 * 10.0 / 27.0) < 0.05);
  CHECK(std::abs(psi_of("container.compliance_ml_per_mpa") - -1.28 / 4.0) < 0.04);
  const auto smaller = [](const Sensitivity& a, const Sensitivity& b) {
    return std::abs(a.pascal) > std::abs(b.pascal);
  };
  CHECK(std::is_sorted(plan.sensitivities.begin(), plan.sensitivities.end(), smaller));
}

TEST_CASE(
    "plan: two seconds after the seam a check reads low, a minute after near the prompt figure") {
  const DosePlan plan = make_plan(worked_plan());
  const auto at = [&](double seconds) {
    for (const AfterSeam& row : plan.after_seam) {
      if (row.seconds == seconds) return row;
    }
    FAIL("no such time");
    return AfterSeam{};
  };
  const double prompt_Pa = 267.49e3;
  CHECK(at(2.0).resting_Pa.value() < 0.3 * prompt_Pa);
  CHECK(near(at(60.0).resting_Pa.value(), prompt_Pa, 0.005));
  // Diffusion alone: 13 % of the uptake in a day; the shaken pack has settled.
  const double day = (at(86'400.0).resting_mg_per_kg - 3.0) / (68.9 - 3.0);
  CHECK(std::abs(day - 0.13) < 0.02);
  CHECK(near(at(86'400.0).moving_Pa.value(), 170.07e3));
}

TEST_CASE("plan: the supply and the room around the worked example") {
  PlanSpec spec = worked_plan();
  spec.supply.cool_downs_per_day = 0.0;
  const DosePlan plan = make_plan(spec);
  REQUIRE(plan.supply.vessels.size() == 2);
  CHECK(std::abs(plan.supply.vessels[0].hours - 38.0) < 0.6);
  CHECK(std::abs(plan.supply.vessels[1].hours - 49.0) < 0.6);
  REQUIRE(plan.room.has_value());
  CHECK(std::abs(plan.room->spill_percent - 9.8) < 0.05);
  CHECK(std::abs(plan.room->spill_mixed_percent - 12.3) < 0.05);
  CHECK(note_on(plan, "room", Severity::kCaution) != nullptr);
}

}  // namespace
}  // namespace rimebench
