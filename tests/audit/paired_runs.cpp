#include "harness/audit/paired_runs.hpp"

#include <doctest/doctest.h>

#include <array>

using namespace rimebench;

namespace {

LedgerRow row(std::int64_t container, std::int64_t pressure_pa, std::int64_t place = 1) {
  LedgerRow made;
  made.container = container;
  made.place = place;
  made.gate_us = 1;
  made.shots = 1;
  made.equilibrium_pa = pressure_pa;
  return made;
}

}  // namespace

TEST_CASE("paired differences: Student's sleep data (Biometrika 6, 1908; figures from memory)") {
  constexpr std::array<double, 10> kFirst{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0};
  constexpr std::array<double, 10> kSecond{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};
  PairedSums sums;
  for (std::size_t i = 0; i < kFirst.size(); ++i) sums.add(kFirst[i] - kSecond[i]);
  const PairedMean mean = sums.mean();
  CHECK(mean.mean == doctest::Approx(-1.58));
  CHECK(mean.low == doctest::Approx(-2.4598858).epsilon(1e-6));
  CHECK(mean.high == doctest::Approx(-0.7001142).epsilon(1e-6));
}

TEST_CASE("containers pair by number, differences by place, escapes and rejects by who had them") {
  PairedRuns runs;
  for (int i = 1; i <= 40; ++i) runs.on_row_a(row(i, 200'000 + i % 7, 1 + i % 4));
  LedgerRow bad = row(41, 100'000);
  bad.bad = 1;
  runs.on_row_a(bad);
  runs.on_row_a(row(42, 200'000));
  for (int i = 1; i <= 40; ++i)
    runs.on_row_b(row(i, 200'000 + i % 7 + 1000 * (1 + i % 4), 1 + i % 4));
  LedgerRow removed = row(41, 210'000);
  removed.removed = 1;
  runs.on_row_b(removed);
  runs.on_row_b(row(43, 200'000));
  const PairedComparison result = runs.finish();
  CHECK(result.pressure_pa.pairs == 41);
  CHECK(result.by_place.at(3).mean == doctest::Approx(3000.0));
  CHECK(result.by_place.at(3).high == doctest::Approx(3000.0));
  CHECK(result.only_a_escapes == 1);
  CHECK(result.first_only_a == 41);
  CHECK(result.only_b_escapes == 0);
  CHECK(result.only_b_removed == 1);
  CHECK(result.unpaired == 2);
}

TEST_CASE("a container that has no shot, or is full of liquid, gives no difference") {
  PairedRuns runs;
  LedgerRow undosed = row(1, 5'000);
  undosed.shots = 0;
  runs.on_row_a(undosed);
  runs.on_row_a(row(2, kLiquidFullPa));
  runs.on_row_a(row(3, 200'000));
  for (int i = 1; i <= 3; ++i) runs.on_row_b(row(i, 200'000));
  CHECK(runs.finish().pressure_pa.pairs == 1);
}
