#include <doctest/doctest.h>

#include <cmath>

#include "plant_model/kernel/random.hpp"
#include "plant_model/planner/decay_fit.hpp"

namespace rimebench {
namespace {

/// Readings every 50 ms for 6 s, of 80 mg that decay after this law.
std::vector<BalanceReading> balance(const physics::DecayLaw& law, double scatter_mg,
                                    std::uint64_t seed) {
  RandomStream noise(seed, 1, 0);
  std::vector<BalanceReading> readings;
  for (int i = 0; i <= 120; ++i) {
    const double at = 0.05 * i;
    const double mass_g = physics::remaining_kg(80e-6, law, at) * 1e3;
    readings.push_back({at, mass_g + scatter_mg * 1e-3 * noise.normal()});
  }
  return readings;
}

/// The law's time constant at another reference mass.
double tau_at(const physics::DecayLaw& law, double reference_mg) {
  return law.tau_s * std::pow(reference_mg * 1e-6 / law.reference_kg, 1.0 - law.exponent);
}

TEST_CASE("decay fit: drops of exponent 2/3 are told from a puddle") {
  const physics::DecayLaw drops{8.0, 2.0 / 3.0, 75e-6};
  std::string problem;
  const auto fit = fit_decay(balance(drops, 0.3, 1), 0.99, problem);
  REQUIRE(fit);
  CHECK(fit->exponent.low < 2.0 / 3.0);
  CHECK(fit->exponent.high > 2.0 / 3.0);
  CHECK(fit->exponent.high < 1.0);
  const double tau = tau_at(drops, fit->reference_mg);
  CHECK(fit->tau_s.low < tau);
  CHECK(fit->tau_s.high > tau);
  CHECK(fit->start_mg.low < 80.0);
  CHECK(fit->start_mg.high > 80.0);
}

TEST_CASE("decay fit: without scatter the law comes back to six digits") {
  for (const double exponent : {0.0, 0.5, 2.0 / 3.0}) {
    const physics::DecayLaw law{8.0, exponent, 75e-6};
    std::string problem;
    const auto fit = fit_decay(balance(law, 0.0, 1), 0.95, problem);
    REQUIRE(fit);
    CHECK(std::abs(fit->tau_s.value / tau_at(law, fit->reference_mg) - 1.0) < 1e-6);
    CHECK(std::abs(fit->exponent.value - exponent) < 1e-5);
  }
}

TEST_CASE("decay fit: an exponent that scatter drives above 1 is held there") {
  const physics::DecayLaw puddle{8.0, 1.0, 75e-6};
  bool met = false;
  for (std::uint64_t seed = 1; seed < 20 && !met; ++seed) {
    std::string problem;
    const auto fit = fit_decay(balance(puddle, 1.0, seed), 0.95, problem);
    REQUIRE(fit);
    met = fit->exponent_held;
    CHECK(fit->exponent.value <= 1.0);
    CHECK(fit->tau_s.low < 8.0 * 1.05);
    CHECK(fit->tau_s.high > 8.0 * 0.95);
  }
  CHECK(met);
}

TEST_CASE("decay fit: a balance that shows no loss, or four readings, is refused") {
  std::string problem;
  const std::vector<BalanceReading> flat(10, {0.0, 0.08});
  CHECK_FALSE(fit_decay(flat, 0.95, problem));
  CHECK(problem.find("nothing boiled off") != std::string::npos);
  CHECK_FALSE(fit_decay(std::span(flat).first(4), 0.95, problem));
  CHECK(problem.find("4 readings") == 0);
}

}  // namespace
}  // namespace rimebench
