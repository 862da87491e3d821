#include <doctest/doctest.h>

#include <cmath>

#include "harness/intake/choices_file.hpp"
#include "harness/intake/knot_thinner.hpp"
#include "tests/intake/log_file.hpp"

using namespace rimebench;

namespace {

double at(const std::vector<SpeedKnot>& knots, Instant when) {
  for (std::size_t i = 1; i < knots.size(); ++i) {
    if (when > knots[i].at) continue;
    const auto& a = knots[i - 1];
    const auto& b = knots[i];
    const double share =
        static_cast<double>((when - a.at).raw) / static_cast<double>((b.at - a.at).raw);
    return a.containers_per_min + share * (b.containers_per_min - a.containers_per_min);
  }
  return knots.back().containers_per_min;
}

}  // namespace

TEST_CASE("a thinned profile stays within its tolerance of every row, and loses nothing at 0") {
  std::vector<SpeedKnot> rows;
  for (int i = 0; i < 5000; ++i) {
    rows.push_back({Instant{i * 1'000'000LL}, 600.0 + 40.0 * std::sin(i * 0.01) + (i % 3)});
  }
  for (const double tolerance : {0.0, 1.5, 5.0}) {
    std::vector<SpeedKnot> kept;
    KnotThinner thinner(tolerance, [&](const SpeedKnot& knot) { kept.push_back(knot); });
    for (const SpeedKnot& row : rows) thinner.add(row);
    thinner.finish();
    double worst = 0.0;
    for (const SpeedKnot& row : rows) {
      worst = std::max(worst, std::abs(at(kept, row.at) - row.containers_per_min));
    }
    CHECK(worst <= tolerance + 1e-6);
    CHECK(kept.back().at == rows.back().at);
    if (tolerance == 5.0) CHECK(kept.size() < rows.size() / 20);
  }
}

TEST_CASE("a steady speed is two knots however long it lasts") {
  std::string text = "time_s,v [1/min]\n";
  for (int i = 0; i < 3000; ++i) text += std::to_string(i) + ",600\n";
  const auto log = take_in(text);
  CHECK(log.knots.size() == 2);
  CHECK(log.intake.plot.bins.size() <= SpeedPlot::kBins);
}

TEST_CASE("no peak is lost in the plot, however long the log") {
  std::string text = "time_s,v [1/min]\n";
  for (int i = 0; i < 20'000; ++i) {
    text += std::to_string(i) + (i == 12'345 ? ",900\n" : i == 777 ? ",10\n" : ",600\n");
  }
  const auto log = take_in(text);
  double least = 1e9, most = 0.0;
  for (const SpeedBin& bin : log.intake.plot.bins) {
    if (bin.empty) continue;
    least = std::min(least, bin.least);
    most = std::max(most, bin.most);
  }
  CHECK(least == 10.0);
  CHECK(most == 900.0);
}

TEST_CASE("the choices of one intake, kept in a file, give the same profile without inferring") {
  const std::string text =
      "Datum;Zeit;v [1/min]\n04.03.2026;06:00:00;600,5\n04.03.2026;06:00:01;601\n"
      "04.03.2026;06:00:02;602,25\n";
  const auto first = take_in(text);
  REQUIRE(first.intake.answered());
  const LogFile file(choices_text("log.csv", {}, first.intake.form.decisions));
  Choices choices;
  Diagnostics diagnostics;
  read_choices(file.path(), choices, diagnostics);
  REQUIRE(diagnostics.empty());
  const LogFile log(text);
  std::vector<SpeedKnot> knots;
  const auto second =
      take_in_speed(log.path(), choices, [&](const SpeedKnot& knot) { knots.push_back(knot); });
  CHECK(second.form.decisions.empty());
  REQUIRE(knots.size() == first.knots.size());
  CHECK(knots.back().containers_per_min == first.knots.back().containers_per_min);
}

TEST_CASE("a mistake in the choices names its line and what is valid") {
  const LogFile file("delimiter: colon\nspeed: 4\npitch_um: 3\n");
  Choices choices;
  Diagnostics diagnostics;
  read_choices(file.path(), choices, diagnostics);
  REQUIRE(diagnostics.size() == 3);
  CHECK(diagnostics[0].where.line == 1);
  CHECK(diagnostics[0].problem.find("comma|semicolon|tab|bar") != std::string::npos);
  CHECK(diagnostics[1].problem.find("no such choice") != std::string::npos);
  CHECK(diagnostics[2].problem.find("1000..") != std::string::npos);
}
