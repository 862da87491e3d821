#include "harness/intake/capture.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>

#include "harness/intake/edge_filter.hpp"
#include "harness/trace/vcd_writer.hpp"
#include "tests/intake/log_file.hpp"

using namespace rimebench;

namespace {

struct Taken {
  Capture capture;
  std::vector<SignalChange> changes;
};

Taken capture_of(std::string_view text, const std::vector<std::string>& wires = {},
                 Duration debounce = {}) {
  const LogFile file(text);
  CaptureOptions options{{}, debounce};
  std::string problem;
  for (const std::string& wire : wires) options.wires.push_back(*parse_wire(wire, problem));
  Taken taken;
  taken.capture = take_in_capture(
      file.path(), options, [&](const SignalChange& change) { taken.changes.push_back(change); });
  return taken;
}

const std::string kHead =
    "$date today $end $version some analyser $end\n$timescale 10 ns $end\n"
    "$scope module top $end\n$var wire 1 ! container_sensor $end\n$var wire 1 \" D1 $end\n"
    "$scope module deep $end\n$var reg 8 # count [7:0] $end\n$upscope $end\n$upscope $end\n"
    "$enddefinitions $end\n";

}  // namespace

TEST_CASE("a dump in units of 10 ns (IEEE 1364-2005, 18.2.3.8): times become microseconds") {
  const auto taken = capture_of(
      kHead + "#0\n$dumpvars\n0!\n1\"\nbx #\n$end\n#100\n1!\n#250\n0!\n#300\n", {"D1=run_permit"});
  REQUIRE(taken.changes.size() == 3);
  CHECK(taken.changes[0] == SignalChange{Instant{0}, Channel::kRunPermit, 1});
  CHECK(taken.changes[1] == SignalChange{Instant{1}, Channel::kContainerSensor, 1});
  CHECK(taken.changes[2] == SignalChange{Instant{3}, Channel::kContainerSensor, 0});
  CHECK(taken.capture.finer_than_us == 1);
  CHECK(taken.capture.end == Instant{3});
  CHECK_FALSE(taken.capture.wires[2].channel);
}

TEST_CASE("an inverted wire, an unknown level, a name with its scopes") {
  const auto taken = capture_of(kHead + "#0\n1\"\n#1000\n0\"\n#2000\nx\"\n#3000\n1\"\n#4000\n",
                                {"top.D1=!safety_chain"});
  REQUIRE(taken.changes.size() == 2);
  CHECK(taken.changes[0] == SignalChange{Instant{10}, Channel::kSafetyChain, 1});
  CHECK(taken.changes[1] == SignalChange{Instant{30}, Channel::kSafetyChain, 0});
  CHECK(taken.capture.wires[1].no_data == 1);
}

TEST_CASE("a level that does not hold for the debounce time is left out; edges keep their times") {
  const auto taken = capture_of(kHead +
                                    "#0\n#100000\n1!\n#100500\n0!\n#100900\n1!\n#300000\n0!\n#"
                                    "300400\n1!\n#300600\n0!\n#500000\n",
                                {}, Duration{100});
  REQUIRE(taken.changes.size() == 2);
  CHECK(taken.changes[0].at == Instant{1009});
  CHECK(taken.changes[1].at == Instant{3006});
  CHECK(taken.capture.wires[0].bounces == 2);
}

TEST_CASE("edges of several wires leave the debounce in canonical order") {
  std::vector<SignalChange> out;
  EdgeFilter filter(Duration{50}, [&](const SignalChange& change) { out.push_back(change); });
  std::int64_t bounces = 0;
  for (int i = 0; i < 200; ++i) {
    const Instant at{i * 37};
    filter.take({at, Channel::kContainerSensor, (i / 5) % 2}, bounces);
    filter.take({at, Channel::kLinePulse, (i / 3) % 2}, bounces);
    filter.take({at, Channel::kRunPermit, (i / 7) % 2}, bounces);
  }
  filter.finish();
  CHECK(out.size() > 100);
  CHECK(std::is_sorted(out.begin(), out.end(), canonical_before));
}

TEST_CASE("a table of levels: sampled, at changes only, before the trigger, X for no data") {
  const auto changes = capture_of(
      "; analyser export\nTime "
      "[s],Sensor,Valve\n-0.000100,0,0\n0.000000,1,0\n0.000250,X,1\n0.001,0,0\n",
      {"Sensor=container_sensor", "Valve=valve"});
  CHECK(changes.capture.shifted_us == -100);
  REQUIRE(changes.changes.size() == 4);
  CHECK(changes.changes[0] == SignalChange{Instant{100}, Channel::kContainerSensor, 1});
  CHECK(changes.changes[1] == SignalChange{Instant{350}, Channel::kValve, 1});
  CHECK(changes.changes[2] == SignalChange{Instant{1100}, Channel::kContainerSensor, 0});
  CHECK(changes.capture.wires[0].no_data == 1);
}

TEST_CASE("what is no capture is refused with its line") {
  const auto refused = [](const std::string& text, const char* with,
                          const std::vector<std::string>& wires = {}) {
    CHECK_THROWS_WITH_AS(capture_of(text, wires), doctest::Contains(with), std::invalid_argument);
  };
  refused("", "nothing in it");
  refused(kHead + "#100\n1!\n#50\n0!\n", ":13: the time goes back");
  refused(kHead + "#100\n1?\n", "code of no variable");
  refused("$timescale 3 us $end\n", "no timescale");
  refused("$scope module a $end\n$enddefinitions $end\n", "no $timescale");
  refused("$timescale 1 us $end\n$var wire 1 ! a\n", "it ends where");
  refused(kHead + "#0\n", "no wire D7", {"D7=valve"});
  refused(kHead + "#0\n", "both the same channel", {"D1=container_sensor"});
  refused("Time [s],Sensor\n0,0\n1,1\n", "no wire has a channel's name");
  refused("Time [s],valve\n0,0\n1,2.5\n", ":3: 2.5 is no level");
  refused("Time [s],valve\n1,0\n0,1\n", ":3: the time goes back");
  std::string problem;
  CHECK_FALSE(parse_wire("D1=valv", problem));
  CHECK(problem.find("run_permit") != std::string::npos);
  CHECK_FALSE(parse_wire("D1", problem));
}

TEST_CASE("what is written as a dump is read back change for change, negative values too") {
  const std::vector<SignalChange> changes{
      {Instant{0}, Channel::kRunPermit, 1},
      {Instant{0}, Channel::kRecipeFirst, 25'000},
      {Instant{5}, Channel::kContainerSensor, 1},
      {Instant{5}, Channel::kRecipeState, -1017},
      {Instant{9}, Channel::kContainerSensor, 0},
      {Instant{9}, Channel::kLanding, -3},
      {Instant{12}, Channel::kSupplyPressure, INT32_MIN},
      {Instant{13}, Channel::kSupplyPressure, INT32_MAX},
  };
  const LogFile file("");
  VcdWriter writer(file.path(), false);
  for (const SignalChange& change : changes) writer.add(change);
  writer.close(Instant{20});
  std::vector<SignalChange> back;
  const Capture capture =
      take_in_capture(file.path(), {}, [&](const SignalChange& change) { back.push_back(change); });
  CHECK(back == changes);
  CHECK(capture.end == Instant{20});
}
