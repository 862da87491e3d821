#include "harness/conformance/battery.hpp"

#include <doctest/doctest.h>

#include <map>
#include <set>
#include <vector>

#include "harness/cli/node_check_command.hpp"
#include "tests/conformance/defects.hpp"
#include "tests/conformance/one_defect_each.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

BatteryReport report_on(const Defect& defect, bool thorough = false) {
  DoubleNode node{defect};
  return run_battery([&] { return node.open(); }, {}, thorough);
}

}  // namespace

TEST_CASE("battery: our own node keeps every rule, 65 540 grants in a row included") {
  const BatteryReport report = report_on({}, true);
  CHECK(failed(report).empty());
  CHECK(report.results.size() == 32);
  CHECK(report.node_name == "rimebench");
  CHECK(report.capacity == kChangesMax);
}

TEST_CASE("battery: a node with one thing wrong fails the one check that looks at it") {
  each_fails_its_own(defects(), [](const auto& broken) { return report_on(broken); });
}

TEST_CASE("battery: no check is without a node that fails it") {
  each_has_one(report_on({}), defects());
}

TEST_CASE("battery: a node that leaves out a number after 65535 is found by the thorough battery") {
  Defect defect;
  defect.reached = [](NodeState& state, ReachedMessage& reached, Changes&) {
    if (state.next_seq == 0) reached.at = state.reached;
  };
  CHECK(failed(report_on(defect)).empty());
  CHECK(failed(report_on(defect, true)) == std::set<std::string>{"wrap"});
}

TEST_CASE("battery: where nobody greets, nothing was looked at and the cause is told once") {
  Defect mute;
  mute.answer = [](NodeState&, const Bytes&, const Bytes*) { return Bytes{}; };
  const BatteryReport report = report_on(mute);
  CHECK(report.count(CheckOutcome::kNotRun) == report.results.size());
  const std::string text = battery_text("double", report);
  const std::size_t first = text.find("a hello: no answer");
  CHECK(first != std::string::npos);
  CHECK(text.find("a hello: no answer", first + 1) == std::string::npos);
}

TEST_CASE("battery: a node that dies of noise fails that check, the rest is not looked at") {
  bool dead = false;
  DoubleNode node;
  node.defect.answer = [&](NodeState& state, const Bytes&, const Bytes*) -> std::optional<Bytes> {
    dead = dead || state.damaged > 100;
    if (dead) return Bytes{};
    return std::nullopt;
  };
  const BatteryReport report = run_battery(
      [&] {
        if (dead) throw StreamError(StreamLoss::kFailed, "Connection refused");
        return node.open();
      },
      {}, false);
  bool behind = false;
  for (const CheckResult& result : report.results) {
    CAPTURE(result.name);
    const bool noise = result.name == "garbage";
    const CheckOutcome expected = noise    ? CheckOutcome::kFailed
                                  : behind ? CheckOutcome::kNotRun
                                           : CheckOutcome::kPassed;
    CHECK(result.outcome == expected);
    behind = behind || noise;
  }
}
