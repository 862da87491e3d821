/// What closes the valve when the controller does not.

#include <doctest/doctest.h>

#include <vector>

#include "harness/session/hung_node.hpp"
#include "tests/line/metre_line.hpp"

using namespace rimebench;
using test::metre_line;
using test::play;

namespace {

PlantSpec interlocked() {
  PlantSpec spec = metre_line();
  spec.line.valve.feedback_delay_us = 1'500;
  spec.line.interlock = InterlockSpec{5'000, 12'000, 80'000};
  return spec;
}

SignalChange output(std::int64_t at_us, Channel channel, std::int32_t value) {
  return {Instant{at_us}, channel, value};
}

}  // namespace

TEST_CASE("interlock: the coil follows the command while the chain is closed") {
  const auto run =
      play(interlocked(), {test::valve(2'000'000, true), test::valve(2'020'000, false)});
  const std::vector<SignalChange> coil{output(2'000'000, Channel::kValveCoil, 1),
                                       output(2'020'000, Channel::kValveCoil, 0)};
  CHECK(run.of(Channel::kValveCoil) == coil);
  const std::vector<SignalChange> moves{output(2'008'000, Channel::kValveActual, 1),
                                        output(2'026'000, Channel::kValveActual, 0)};
  CHECK(run.of(Channel::kValveActual) == moves);
}

TEST_CASE("interlock: before the chain is closed no command moves the valve") {
  const auto run = play(interlocked(), {test::valve(500, true), test::valve(20'000, false)});
  CHECK(run.of(Channel::kValveActual).empty());
}

TEST_CASE("interlock: the relay cuts off a coil that nobody switches off, and the spring shuts") {
  // Commanded open at 2.0 s for good: coil dead at 2.08 s, shut 12 ms later.
  const auto run = play(interlocked(), {test::valve(2'000'000, true)});
  const std::vector<SignalChange> coil{output(2'000'000, Channel::kValveCoil, 1),
                                       output(2'080'000, Channel::kValveCoil, 0)};
  CHECK(run.of(Channel::kValveCoil) == coil);
  CHECK(run.of(Channel::kValveActual).back() == output(2'092'000, Channel::kValveActual, 0));
  CHECK(run.of(Channel::kValveFeedback).back() == output(2'093'500, Channel::kValveFeedback, 0));
}

TEST_CASE("interlock: once cut, the coil waits for the command to fall before it works again") {
  const auto run =
      play(interlocked(), {test::valve(2'000'000, true), test::valve(2'500'000, false),
                           test::valve(2'600'000, true), test::valve(2'620'000, false)});
  CHECK(run.of(Channel::kValveActual).size() == 4);
  CHECK(run.of(Channel::kValveActual)[2].at == Instant{2'608'000});
}

TEST_CASE("interlock: how a run is cut into grants changes nothing that the relay does") {
  const std::vector<SignalChange> outputs{
      test::valve(2'000'000, true), test::valve(2'500'000, false), test::valve(2'600'000, true)};
  const auto usual = play(interlocked(), outputs);
  for (const GrantCut& cut :
       {GrantCut{1, false}, GrantCut{GrantCut::kInputsAll, false}, GrantCut{256, true}}) {
    test::ScriptedNode node(outputs);
    const auto run = test::record(interlocked(), node, cut);
    CHECK(run.changes == usual.changes);
  }
}

TEST_CASE("hung core: its outputs stay as they are until its watchdog drops them") {
  PlantSpec spec = metre_line();
  const std::vector<SignalChange> outputs{
      output(1'500, Channel::kLinePermit, 1), test::valve(2'000'000, true),
      test::valve(2'020'000, false), test::valve(2'100'000, true)};
  spec.happens.core_hang = CoreHang{Instant{2'010'000}, 30_ms};
  const auto run = play(spec, outputs);
  const std::vector<SignalChange> valve{output(2'000'000, Channel::kValve, 1),
                                        output(2'040'000, Channel::kValve, 0)};
  CHECK(run.of(Channel::kValve) == valve);
  CHECK(run.of(Channel::kLinePermit).back() == output(2'040'000, Channel::kLinePermit, 0));

  spec.happens.core_hang->watchdog = 0_us;
  CHECK(play(spec, outputs).of(Channel::kValve).size() == 1);
}

TEST_CASE("hung core: how a run is cut into grants does not change when it hangs") {
  PlantSpec spec = interlocked();
  spec.happens.core_hang = CoreHang{Instant{2'010'000}, 30_ms};
  const std::vector<SignalChange> outputs{test::valve(2'000'000, true),
                                          test::valve(2'020'000, false)};
  const auto usual = play(spec, outputs);
  for (const GrantCut& cut : {GrantCut{1, false}, GrantCut{256, true}}) {
    test::ScriptedNode node(outputs);
    CHECK(test::record(spec, node, cut).changes == usual.changes);
  }
}
