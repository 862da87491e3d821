/// The small plot of a terminal.

#include <doctest/doctest.h>

#include "harness/dossier/pressure_plot.hpp"

using namespace rimebench;

namespace {

LedgerRow sealed(std::int64_t place, std::int64_t seam_us, std::int64_t pa) {
  LedgerRow row;
  row.place = place;
  row.seam_us = seam_us;
  row.equilibrium_pa = pa;
  return row;
}

}  // namespace

TEST_CASE("pressure plot: each place has its row, and what breaks a limit is never averaged away") {
  Scenario scenario;
  scenario.plant.feed = Duration{3'840'000'000};
  scenario.plant.limits.equilibrium_pa_min = 100'000;
  scenario.plant.limits.equilibrium_pa_max = 200'000;
  PressurePlot plot(scenario);
  CHECK(plot.text().empty());
  plot.on_row(sealed(1, 30'000'000, 100'000));
  plot.on_row(sealed(1, 90'000'000, 199'999));
  plot.on_row(sealed(1, 150'000'000, 150'000));
  plot.on_row(sealed(1, 270'000'000, 99'999));
  for (int i = 0; i < 1000; ++i) plot.on_row(sealed(1, 270'000'000, 150'000));
  plot.on_row(sealed(2, 30'000'000, 200'001));
  plot.on_row(sealed(2, 90'000'000, 200'001));
  plot.on_row(sealed(2, 90'000'000, 99'999));
  plot.on_row(sealed(2, 10'000'000'000, 120'000));
  plot.on_row(sealed(3, 0, 1));
  const std::string text = plot.text();
  CHECK(text.find("1.00 min a character: 0 is 100 kPa, the least allowed; 9 is 200 kPa") !=
        std::string::npos);
  CHECK(text.find("\n      1  095 v\n") != std::string::npos);
  CHECK(text.find("\n      2  ^x" + std::string(61, ' ') + "2\n") != std::string::npos);
  CHECK(text.find("\n      3") == std::string::npos);
}
