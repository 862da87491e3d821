#include <doctest/doctest.h>

#include <cmath>

#include "harness/config/load.hpp"
#include "plant_model/planner/trim_recipe.hpp"
#include "tests/planner/trim_packs.hpp"

namespace rimebench {
namespace {

const PlantSpec& inline_line() {
  static const Scenario scenario = [] {
    Diagnostics diagnostics;
    auto loaded =
        load_scenario(REPOSITORY_DIR "/config/scenarios/inline_ramp.yaml", {}, diagnostics);
    REQUIRE(loaded);
    return *loaded;
  }();
  return scenario.plant;
}

const LineConstants kTruth{6.8, 0.85, 0.94};
constexpr TrimGoal kGoal{207e3, 10e3, 0.95};

bool holds(const Estimate& e, double truth) { return e.low <= truth && truth <= e.high; }

double needed_ug(const PlantSpec& spec, int place) {
  const TrimLine line(spec, kTruth);
  const auto dose = line.dose_ug_for(kGoal.target_Pa, expected_wait_s(spec, place), line.at(20.0));
  REQUIRE(dose);
  return *dose * kTruth.valve_bias;
}

/// Three rounds of 12 packs, each dosed by what the trim of the rounds before proposed.
struct Rounds {
  TrimFit fit;
  TrimProposal next;
};

Rounds three_rounds(const PlantSpec& spec, std::uint64_t seed) {
  std::vector<PackReading> packs;
  Rounds rounds;
  RecipeValues recipe = spec.recipe;
  for (std::uint64_t round = 0; round < 3; ++round) {
    const auto more = pierced_packs(spec, kTruth, recipe, 3, 3 * seed + round);
    packs.insert(packs.end(), more.begin(), more.end());
    std::string problem;
    auto fit = fit_trim(spec, packs, kGoal.confidence, problem);
    REQUIRE_MESSAGE(fit, problem);
    rounds.fit = std::move(*fit);
    rounds.next = propose_trim(spec, rounds.fit, kGoal);
    recipe = rounds.next.recipe;
  }
  return rounds;
}

TEST_CASE("trim: three rounds of 12 packs give back boil-off, exponent, valve bias and ramp") {
  const PlantSpec& spec = inline_line();
  const double ramp = 100.0 * (needed_ug(spec, 4) / needed_ug(spec, 1) - 1.0);
  constexpr int kSets = 40;
  int tau = 0, exponent = 0, bias = 0, ramps = 0;
  double worst_off_Pa = 0.0;
  for (std::uint64_t seed = 1; seed <= kSets; ++seed) {
    const Rounds rounds = three_rounds(spec, seed);
    tau += holds(rounds.fit.tau_s, kTruth.tau_s);
    exponent += holds(rounds.fit.exponent, kTruth.exponent);
    bias += holds(rounds.fit.valve_bias, kTruth.valve_bias);
    ramps += holds(rounds.next.ramp_percent, ramp);
    const TrimLine line(spec, kTruth);
    for (const TrimPlace& place : rounds.next.places) {
      const double dose = dose_ug_of(spec.recipe, place.open_us);
      const auto pack = line.sealed(dose, place.wait_s, line.nominal_drink_kg());
      const auto pressure = physics::equilibrium_gauge_Pa(*pack, line.at(20.0));
      worst_off_Pa = std::max(worst_off_Pa, std::abs(*pressure - kGoal.target_Pa));
    }
  }
  // 95 % intervals: of 40, 38 are expected to hold; fewer than 34 has a chance below 1 in 80.
  CHECK(tau >= 34);
  CHECK(exponent >= 34);
  CHECK(bias >= 34);
  CHECK(ramps >= 34);
  CHECK(worst_off_Pa < 15e3);
}

TEST_CASE("trim: a reading goes back to the nitrogen that was sealed in, whatever the gauge") {
  const PlantSpec& spec = inline_line();
  const LineConstants truth = constants_of(spec.line);
  const TrimLine line(spec, truth);
  const double drink_kg = line.nominal_drink_kg();
  std::vector<PackReading> packs;
  for (const double dead_ml : {0.5, 2.0, 4.0}) {
    for (int place = 1; place <= 4; ++place) {
      const double dose = recipe_dose_ug(spec.recipe, expected_wait_s(spec, place));
      PackReading pack{
          place, open_us_of(spec.recipe, dose), 0.0, 12.0, 30.0, true, dead_ml, 1000.0 * drink_kg};
      const auto sealed = line.sealed(dose_ug_of(spec.recipe, pack.open_us),
                                      expected_wait_s(spec, place), drink_kg);
      pack.gauge_Pa = *expected_reading_Pa(*sealed, 1.0, pack, line.at(pack.pack_c));
      packs.push_back(pack);
    }
  }
  std::string problem;
  const auto fit = fit_trim(spec, packs, 0.95, problem);
  REQUIRE(fit);
  CHECK(std::abs(fit->tau_s.value / truth.tau_s - 1.0) < 1e-3);
  CHECK(std::abs(fit->valve_bias.value - 1.0) < 1e-3);
  for (std::size_t i = 0; i < packs.size(); ++i) {
    const double wait_s = expected_wait_s(spec, packs[i].place);
    const double sealed_mg = 1e6 * line.left_kg(dose_ug_of(spec.recipe, packs[i].open_us), wait_s);
    CHECK(std::abs(fit->packs[i].sealed_mg - sealed_mg) < 0.05);
    // At 12 C and with the gauge's own volume it reads well below the pressure at 20 C.
    CHECK(fit->packs[i].equilibrium_Pa > packs[i].gauge_Pa + 15e3);
  }
}

TEST_CASE("trim: half an hour after the seam the uptake of a pack not shaken is anyone's guess") {
  const PlantSpec& spec = inline_line();
  const TrimLine line(spec, constants_of(spec.line));
  const auto sealed = line.sealed(80e3, 3.0, line.nominal_drink_kg());
  PackReading pack{1, 30e3, 250e3, 20.0, 30.0, false, 2.0, 355.0};
  const Uptake half_hour = uptake_of(spec, pack, *sealed, line.at(20.0));
  CHECK(half_hour.least < 0.05);
  CHECK(half_hour.most > 0.9);
  CHECK_FALSE(half_hour.known());
  pack.minutes = 1.0;
  CHECK(uptake_of(spec, pack, *sealed, line.at(20.0)).known());
}

TEST_CASE("trim: packs that nobody shook widen the intervals and give no recipe") {
  const PlantSpec& spec = inline_line();
  auto packs = pierced_packs(spec, kTruth, spec.recipe, 3, 13);
  for (PackReading& pack : packs) pack.shaken = false;  // they had settled, but who knows
  std::string problem;
  const auto fit = fit_trim(spec, packs, 0.95, problem);
  REQUIRE_MESSAGE(fit, problem);
  CHECK(holds(fit->valve_bias, kTruth.valve_bias));
  CHECK(holds(fit->tau_s, kTruth.tau_s));
  const TrimProposal proposal = propose_trim(spec, *fit, kGoal);
  REQUIRE_FALSE(proposal.refusals.empty());
  CHECK(proposal.refusals.front().find("0 packs were shaken") == 0);
}

TEST_CASE("trim: packs of one wait cannot tell the valve from the boil-off, and it says so") {
  PlantSpec spec = inline_line();
  spec.recipe.set(Parameter::kPlaceCount, 1);
  std::string problem;
  const auto fit = fit_trim(spec, pierced_packs(spec, kTruth, spec.recipe, 12, 5), 0.95, problem);
  REQUIRE(fit);
  CHECK(fit->one_wait);
  CHECK(fit->valve_bias.high - fit->valve_bias.low > 0.2);
}

TEST_CASE("trim: a ramp by head number that bursts a pack seamed at once is refused") {
  PlantSpec spec = inline_line();
  const auto packs = pierced_packs(spec, kTruth, spec.recipe, 3, 9);
  const auto propose = [&](PlaceSource source, double target_Pa) {
    spec.recipe.set(Parameter::kPlaceSource, static_cast<std::int32_t>(source));
    std::string problem;
    const auto fit = fit_trim(spec, packs, 0.95, problem);
    REQUIRE(fit);
    return propose_trim(spec, *fit, {target_Pa, 10e3, 0.95});
  };
  spec.limits.hot_c = 60.0;
  spec.limits.hot_prompt_pa_max = 540'000;
  CHECK(propose(PlaceSource::kContainersAhead, 207e3).refusals.empty());
  const TrimProposal by_head = propose(PlaceSource::kHeadNumber, 207e3);
  REQUIRE_FALSE(by_head.refusals.empty());
  CHECK(by_head.refusals.back().find("place 4: sealed after its shortest wait") == 0);
  const TrimProposal hard = propose(PlaceSource::kContainersAhead, 300e3);
  REQUIRE_FALSE(hard.refusals.empty());
  CHECK(hard.refusals.front().find("place 1: hot and prompt it comes to") == 0);
}

TEST_CASE("trim: three packs are too few, and more certainty needs more packs") {
  const PlantSpec& spec = inline_line();
  const auto packs = pierced_packs(spec, kTruth, spec.recipe, 3, 11);
  std::string problem;
  CHECK_FALSE(fit_trim(spec, std::span(packs).first(3), 0.95, problem));
  CHECK(problem.find("3 packs") == 0);
  const auto fit = fit_trim(spec, packs, 0.95, problem);
  REQUIRE(fit);
  const int loose = propose_trim(spec, *fit, {207e3, 40e3, 0.95}).more_packs;
  const int tight = propose_trim(spec, *fit, {207e3, 5e3, 0.95}).more_packs;
  CHECK(loose == 0);
  CHECK(tight > 5);
}

}  // namespace
}  // namespace rimebench
