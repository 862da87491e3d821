#include <doctest/doctest.h>

#include <cmath>

#include "plant_model/kernel/random.hpp"
#include "plant_model/planner/valve_fit.hpp"

namespace rimebench {
namespace {

constexpr double kFlow = 3.5, kDead = 2000.0;
constexpr std::uint32_t kShotNoise = 1;

/// Collections of 20 shots at five open times, twice; each shot scatters by 3 %.
std::vector<Weighing> weighed(std::uint64_t seed, double scatter, std::vector<double> heads) {
  std::vector<Weighing> rows;
  for (const double head : heads) {
    for (int repeat = 0; repeat < 2; ++repeat) {
      for (const double open_us : {8e3, 14e3, 25e3, 40e3, 60e3}) {
        RandomStream noise(seed, kShotNoise, rows.size());
        const double flow = kFlow * (head > 0.0 ? std::sqrt(head / 250.0) : 1.0);
        double mass_ug = 0.0;
        for (int shot = 0; shot < 20; ++shot) {
          mass_ug += flow * (open_us - kDead) + scatter * noise.normal();
        }
        rows.push_back({open_us, 20.0, mass_ug * 1e-6, head});
      }
    }
  }
  return rows;
}

TEST_CASE("valve fit: weighings without scatter give back flow and dead time") {
  std::string problem;
  const auto fit = fit_valve(weighed(1, 0.0, {0.0}), 0.95, problem);
  REQUIRE(fit);
  CHECK(std::abs(fit->flow_ug_per_us.value - kFlow) < 1e-9);
  CHECK(std::abs(fit->dead_us.value - kDead) < 1e-6);
  CHECK(std::abs(fit->dose_ug(24857.0) - 80e3) < 1.0);
}

TEST_CASE("valve fit: the intervals hold the truth as often as they say") {
  int flow_held = 0, dead_held = 0;
  constexpr int kSets = 400;
  for (int set = 0; set < kSets; ++set) {
    std::string problem;
    const auto fit = fit_valve(weighed(static_cast<std::uint64_t>(set), 3e3, {0.0}), 0.9, problem);
    REQUIRE(fit);
    flow_held += fit->flow_ug_per_us.low <= kFlow && kFlow <= fit->flow_ug_per_us.high;
    dead_held += fit->dead_us.low <= kDead && kDead <= fit->dead_us.high;
  }
  // 360 expected; four standard deviations of a binomial are 24.
  CHECK(std::abs(flow_held - 360) < 24);
  CHECK(std::abs(dead_held - 360) < 24);
}

TEST_CASE("valve fit: two heads give the exponent of an orifice") {
  std::string problem;
  const auto fit = fit_valve(weighed(3, 500.0, {200.0, 300.0}), 0.99, problem);
  REQUIRE(fit);
  REQUIRE(fit->head_exponent);
  CHECK(fit->head_exponent->low < 0.5);
  CHECK(fit->head_exponent->high > 0.5);
  CHECK(fit->head_mm == 250.0);
  CHECK(fit->flow_ug_per_us.low < kFlow);
  CHECK(fit->flow_ug_per_us.high > kFlow);
}

TEST_CASE("valve fit: the one collection with a lost shot is named, and no other") {
  auto rows = weighed(4, 300.0, {0.0});
  rows[6].mass_g *= 19.0 / 20.0;
  std::string problem;
  const auto fit = fit_valve(rows, 0.95, problem);
  REQUIRE(fit);
  for (std::size_t i = 0; i < rows.size(); ++i) CHECK(fit->rows[i].outlier == (i == 6));
}

TEST_CASE("valve fit: a valve that never fully opens in its shortest shots is no line") {
  std::string problem;
  auto rows = weighed(5, 100.0, {0.0});
  const auto straight = fit_valve(rows, 0.95, problem);
  REQUIRE(straight);
  REQUIRE(straight->lack_of_fit);
  CHECK(straight->lack_of_fit->chance > 0.01);
  for (Weighing& row : rows) row.mass_g *= row.open_us < 10e3 ? 0.8 : 1.0;
  const auto bent = fit_valve(rows, 0.95, problem);
  REQUIRE(bent);
  CHECK(bent->lack_of_fit->chance < 1e-6);
}

TEST_CASE("valve fit: three weighings, one open time, or a mass that falls are refused") {
  std::string problem;
  const auto rows = weighed(6, 0.0, {0.0});
  CHECK_FALSE(fit_valve(std::span(rows).first(3), 0.95, problem));
  CHECK(problem.find("3 weighings") == 0);
  const std::vector<Weighing> same(6, rows[0]);
  CHECK_FALSE(fit_valve(same, 0.95, problem));
  CHECK(problem.find("at 1 open times") != std::string::npos);
  auto falling = rows;
  for (Weighing& row : falling) row.mass_g = 3.0 - row.open_us * 1e-5;
  CHECK_FALSE(fit_valve(falling, 0.95, problem));
  CHECK(problem.find("does not surely rise") != std::string::npos);
}

}  // namespace
}  // namespace rimebench
