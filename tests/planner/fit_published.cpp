#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "plant_model/planner/fit.hpp"
#include "tests/physics/relative_error.hpp"

namespace rimebench {
namespace {

using physics::relative_error;

TEST_CASE("fit: a straight line through NIST's Norris data, 36 points, to nine digits") {
  // NIST StRD Norris, linear, certified values. [nist_norris]
  const std::vector<double> x{0.2,   337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6,
                              777.0, 558.2, 0.4,   0.6,   775.5, 666.9, 338.0, 447.5, 11.6,
                              556.0, 228.1, 995.8, 887.6, 120.2, 0.3,   0.3,   556.8, 339.1,
                              887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, 0.5};
  const std::vector<double> y{0.1,   338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1,
                              778.9, 559.2, 0.3,   0.1,   778.1, 668.8, 339.3, 448.9, 10.8,
                              557.7, 228.3, 998.0, 888.8, 119.6, 0.3,   0.6,   557.6, 339.3,
                              888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, 0.2};
  const auto fit = fit_line(x, y, std::vector<double>(x.size(), 1.0));
  REQUIRE(fit);
  CHECK(relative_error(fit->parameters[0], -0.262323073774029) < 1e-9);
  CHECK(relative_error(fit->parameters[1], 1.00211681802045) < 1e-9);
  CHECK(relative_error(fit->estimate(0, 0.95).sd, 0.232818234301152) < 1e-9);
  CHECK(relative_error(fit->estimate(1, 0.95).sd, 0.000429796848199937) < 1e-9);
  CHECK(relative_error(fit->residual_sd(), 0.884796396144373) < 1e-9);
  CHECK(relative_error(fit->residual_ss, 26.6173985294224) < 1e-9);
  CHECK(fit->degrees_of_freedom == 34);
  // F is the square of the slope over its standard error, for one slope.
  const double t = fit->parameters[1] / fit->estimate(1, 0.95).sd;
  CHECK(relative_error(t * t, 5436385.54079785) < 1e-8);
}

TEST_CASE("fit: NIST's Misra1a data from both published starts, to six digits") {
  // NIST StRD Misra1a, nonlinear, certified values. [nist_misra1a]
  constexpr std::array<double, 14> kX{77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                                      378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
  constexpr std::array<double, 14> kY{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                                      44.82, 50.76, 55.05, 61.01, 66.4,  75.47, 81.78};
  const auto residuals = [&](std::span<const double> b, std::span<double> out) {
    for (std::size_t i = 0; i < kX.size(); ++i) {
      out[i] = kY[i] - b[0] * (1.0 - std::exp(-b[1] * kX[i]));
    }
  };
  for (const auto& start : {std::array{500.0, 0.0001}, std::array{250.0, 0.0005}}) {
    const std::array<Unknown, 2> unknowns{{{start[0], 0.0}, {start[1], 0.0}}};
    const auto fit = fit_model(residuals, unknowns, kX.size());
    REQUIRE(fit);
    CHECK(relative_error(fit->parameters[0], 238.94212918) < 1e-6);
    CHECK(relative_error(fit->parameters[1], 0.00055015643181) < 1e-6);
    CHECK(relative_error(fit->estimate(0, 0.95).sd, 2.7070075241) < 1e-6);
    CHECK(relative_error(fit->estimate(1, 0.95).sd, 7.2668688436e-06) < 1e-6);
    CHECK(relative_error(fit->residual_ss, 0.12455138894) < 1e-6);
    CHECK(relative_error(fit->residual_sd(), 0.1018787633) < 1e-6);
  }
}

TEST_CASE("fit: points at one place make no line, and rows that say nothing no model") {
  const std::vector<double> same(4, 10.0), y{1.0, 2.0, 3.0, 4.0}, one(4, 1.0);
  CHECK_FALSE(fit_line(same, y, one));
  const auto blind = [](std::span<const double> b, std::span<double> out) {
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = b[0] - 1.0;
  };
  const std::array<Unknown, 2> unknowns{{{0.0, 1.0}, {0.0, 1.0}}};
  CHECK_FALSE(fit_model(blind, unknowns, 4));
}

TEST_CASE("fit: Student's t of 95 % is 12.706 for one degree of freedom and 2.042 for thirty") {
  // Tables of the t distribution in any statistics text, from memory.
  CHECK(std::abs(student_t(0.95, 1) - 12.706) < 5e-4);
  CHECK(std::abs(student_t(0.95, 30) - 2.042) < 5e-4);
}

}  // namespace
}  // namespace rimebench
