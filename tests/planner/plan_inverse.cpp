#include "plant_model/kernel/random.hpp"
#include "plant_model/physics/boil_off.hpp"
#include "plant_model/physics/oxygen.hpp"
#include "tests/planner/plan_support.hpp"

namespace rimebench {
namespace {

/// A chance of its own for each plan.
class Chance {
 public:
  explicit Chance(std::uint64_t item) : stream_(7, 1, item) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(stream_.word()) / 4294967295.0;
  }

 private:
  RandomStream stream_;
};

PlanSpec random_plan(std::uint64_t item) {
  Chance chance(item);
  PlanSpec spec = item % 2 == 0 ? worked_plan() : inline4_plan();
  spec.container.brimful_ml = chance.between(200.0, 1000.0);
  spec.container.compliance_ml_per_mpa = chance.between(0.0, 30.0);
  spec.container.rating_kpa = 9000.0;
  spec.container.opening_um = 400'000;  // what falls beside an opening could not be made good
  spec.product.fill_ml = spec.container.brimful_ml * chance.between(0.80, 0.96);
  spec.product.fill_temperature_c = chance.between(1.0, 30.0);
  spec.product.dissolved_oxygen_mg_per_kg = chance.between(0.0, 2.0);
  spec.product.dissolved_nitrogen_mg_per_kg = chance.between(0.0, 10.0);
  spec.product.solubility_percent = chance.between(80.0, 110.0);
  spec.line.boil_off.tau_belt_s = chance.between(2.0, 30.0);
  spec.line.boil_off.tau_lid_s = chance.between(2.0, 30.0);
  spec.line.boil_off.exponent = chance.between(0.5, 1.0);
  spec.line.headspace.sweep_efficiency = chance.between(0.5, 1.5);
  spec.line.headspace.cold_gas_k = chance.between(150.0, 250.0);
  spec.line.headspace.air_ingress_ml_per_s = chance.between(0.0, 3.0);
  spec.line.headspace.lid_flush_percent = chance.between(0.0, 50.0);
  spec.target = PlanTarget{};
  spec.target.value = chance.between(60.0, 350.0);
  spec.target.at_c = chance.between(4.0, 30.0);
  return spec;
}

/// What the line makes of a dose at the nozzle, by the package model alone.
double settled_kPa(const PlanSpec& spec, const PlacePlan& place) {
  const PackageModel model(spec.container, spec.product, spec.line);
  const LossesSpec& losses = spec.line.losses;
  const double landed =
      place.shot.nozzle_kg * place.shot.captured *
      physics::landed_share({losses.flash_percent / 100.0, losses.flight_percent / 100.0,
                             losses.splash_percent / 100.0, 0.0});
  const Wait& wait = place.wait.expected;
  const double at_lid = model.left_kg(landed, BoilStage::kBelt, wait.belt_s, 0.0);
  const double sealed = model.left_kg(at_lid, BoilStage::kUnderLid, wait.lid_s, 0.0);
  const double drink_kg = model.drink_kg(0.0);
  const auto gas = model.gas_at_seam(drink_kg, landed - sealed, wait.belt_s, 0.0);
  const auto pack = model.seal(drink_kg, gas, sealed);
  return physics::equilibrium_gauge_Pa(pack.value(), model.at(spec.target.at_c)).value() / 1000.0;
}

TEST_CASE("plan: a thousand random plans run forward return their target to a millionth") {
  int solved = 0;
  double worst = 0.0;
  for (std::uint64_t item = 0; item < 1000; ++item) {
    const PlanSpec spec = random_plan(item);
    const DosePlan plan = make_plan(spec);
    if (!plan.solved) continue;  // the air shut in alone is more than was asked for
    ++solved;
    for (const PlacePlan& place : plan.places) {
      worst = std::max(worst, std::abs(settled_kPa(spec, place) / spec.target.value - 1.0));
    }
  }
  CAPTURE(solved);
  CHECK(solved > 950);
  CHECK(worst < 1.0e-6);
}

TEST_CASE("plan: oxygen and dissolved nitrogen come back as they were asked for") {
  PlanSpec spec = worked_plan();
  spec.container.rating_kpa = 9000.0;
  const auto pack_for = [&](TargetKind kind, double value) {
    spec.target = PlanTarget{};
    spec.target.kind = kind;
    spec.target.value = value;
    const DosePlan plan = make_plan(spec);
    REQUIRE(plan.solved);
    return plan.places.front().pack;
  };
  const Pack oxygen = pack_for(TargetKind::kHeadspaceOxygen, 8.0);
  CHECK(near(oxygen.gas.air_fraction * 20.946, 8.0, 1.0e-9));
  const Pack total = pack_for(TargetKind::kTotalOxygen, 6000.0);
  CHECK(near(physics::total_package_oxygen_ppb(*total.sealed), 6000.0, 1.0e-9));
  const Pack nitrogen = pack_for(TargetKind::kDissolvedNitrogen, 57.893);
  CHECK(near(nitrogen.sealed_kg, 63.0414e-6));
}

TEST_CASE("plan: without boil-off or without a wait all that lands is sealed in") {
  PlanSpec spec = worked_plan();
  spec.line.boil_off.tau_belt_s = spec.line.boil_off.tau_lid_s = 1.0e12;
  const PlacePlan still = make_plan(spec).places.front();
  CHECK(near(still.pack.sealed_kg, still.pack.landed_kg, 1.0e-9));
  spec = worked_plan();
  spec.line.stations.lid_um = spec.line.stations.nozzle_um + 1;
  spec.line.stations.seam_um = spec.line.stations.nozzle_um + 2;
  const PlacePlan at_once = make_plan(spec).places.front();
  CHECK(near(at_once.pack.sealed_kg, at_once.pack.landed_kg, 1.0e-5));
}

TEST_CASE("plan: more fill needs less nitrogen, a longer wait more, and pressure rises with both") {
  PlanSpec spec = worked_plan();
  spec.container.rating_kpa = 9000.0;
  double before = 1.0;
  for (double fill = 340.0; fill <= 365.0; fill += 5.0) {
    spec.product.fill_ml = fill;
    const double sealed = make_plan(spec).places.front().pack.sealed_kg;
    CHECK(sealed < before);
    before = sealed;
  }
  const PackPlan packs(spec);
  CHECK(packs.landed_for_target({2.0, 0.5}).value() > packs.landed_for_target({1.0, 0.5}).value());
  const auto pressure = [&](double mg) {
    return packs.target_equilibrium_Pa(packs.forward(mg * 1e-6, {1.0, 0.5})).value();
  };
  CHECK(pressure(80.0) > pressure(79.0));
}

}  // namespace
}  // namespace rimebench
