#include "harness/conformance/paced_battery.hpp"

#include <doctest/doctest.h>

#include <set>

#include "firmware_sim/core/dose_controller.hpp"
#include "tests/conformance/one_defect_each.hpp"
#include "tests/conformance/paced_defects.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

BatteryReport report_on(const World& world, bool thorough = false) {
  return run_paced_battery([&] { return std::make_unique<SimulatedWire<DoseController>>(world); },
                           {}, thorough);
}

}  // namespace

TEST_CASE("paced battery: our own node keeps every rule, 65 540 inputs in a row included") {
  const BatteryReport report = report_on({}, true);
  for (const CheckResult& result : report.results) CHECK(result.why == "");
  CHECK(report.results.size() == 25);
  CHECK(report.node_name == "rimebench");
  CHECK(report.capacity == kChangesMax);
}

TEST_CASE(
    "paced battery: over a slow link, pins that take their time, on a clock 200 ppm off too") {
  World world;
  world.to_node = world.to_bench = [](int n) { return Duration{2'000 + n % 7 * 900}; };
  world.pins_take = 300_us;
  world.node_fast_ppm = -200;
  world.node_clock_at_start = Instant{4'000'000'000};
  CHECK(failed(report_on(world)).empty());
}

TEST_CASE("paced battery: a node with one thing wrong fails the one check that looks at it") {
  each_fails_its_own(paced_defects(), [](const auto& broken) { return report_on(broken); });
}

TEST_CASE("paced battery: no check is without a node that fails it") {
  each_has_one(report_on({}), paced_defects());
}

TEST_CASE("paced battery: where nobody greets, nothing was looked at") {
  World mute;
  mute.tamper = [](int, const Bytes&) { return Bytes{}; };
  const BatteryReport report = report_on(mute);
  CHECK(report.count(CheckOutcome::kNotRun) == report.results.size());
}
