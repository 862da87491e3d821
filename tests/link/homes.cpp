/// The same controller behind every kind of link: one digest.

#include "harness/cli/node_option.hpp"
#include "tests/cli/desk.hpp"
#include "tests/support/pty.hpp"
#include "tests/support/relay.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

/// Scenarios that differ in what a link might spoil: feedback that comes back at once, a queue,
/// stops, a fault.
const std::vector<std::string> kScenarios{"rotary_steady", "inline_ramp", "stop_restart",
                                          "sticking_valve", "timing_screw"};

std::string digest_at(const Desk& desk, const std::string& scenario, const std::string& node) {
  return desk.judged({scenario_of_demo(scenario), "--node", node})["digest"];
}

/// Two serial ports joined by a cable.
struct Line {
  Pty bench;
  Pty node;
  Relay cable{bench.take_master(), node.take_master()};
};

std::string option_of(Process& node) {
  const std::string line = node.line();
  const std::string lead = "listening on ";
  REQUIRE(line.starts_with(lead));
  return line.substr(lead.size());
}

}  // namespace

TEST_CASE(
    "homes: a controller puts out the same in process, over TCP, a Unix socket, a serial line"
    " and the pipes of a child process") {
  const Desk desk;
  const std::string socket = "unix:" + (desk / "node.socket").string();
  Line line;
  Process over_tcp(desk / ".", rimebench_command({"node", "--listen", "127.0.0.1:0"}));
  Process over_unix(desk / ".", rimebench_command({"node", "--listen", socket}));
  Process over_serial(desk / ".", rimebench_command({"node", "--serial", line.node.name()}));
  const std::string tcp = "tcp:" + option_of(over_tcp);
  CHECK(option_of(over_unix) == socket);
  CHECK(option_of(over_serial) == "serial:" + line.node.name() + ",115200");
  const std::string serial = "serial:" + line.bench.name() + ",921600";
  const std::string child = std::string("exec:") + RIMEBENCH_COMMAND + " node --stdio";
  for (const std::string& scenario : kScenarios) {
    CAPTURE(scenario);
    const std::string expected = digest_at(desk, scenario, "inproc");
    CHECK(digest_at(desk, scenario, tcp) == expected);
    CHECK(digest_at(desk, scenario, socket) == expected);
    CHECK(digest_at(desk, scenario, serial) == expected);
    CHECK(digest_at(desk, scenario, child) == expected);
  }
}

TEST_CASE("homes: a socket file that a killed node left behind does not stop the next node") {
  const Desk desk;
  const std::string socket = "unix:" + (desk / "node.socket").string();
  Process first(desk / ".", rimebench_command({"node", "--listen", socket}));
  CHECK(option_of(first) == socket);
  const Ended second = desk.run({"node", "--listen", socket});
  CHECK(second.code == 3);
  CHECK(says(second.err, "cannot listen on " + socket + ": Address already in use"));
  first.kill();
  CHECK(desk.has("node.socket"));
  Process third(desk / ".", rimebench_command({"node", "--listen", socket, "--once"}));
  CHECK(option_of(third) == socket);
  CHECK(desk.run({"run", "short.yaml", "--node", socket}).code == 0);
  CHECK(third.end().code == 0);
  CHECK_FALSE(desk.has("node.socket"));
}

TEST_CASE(
    "homes: what a session before this one left on a serial line is not taken for an answer") {
  const Desk desk;
  Line line;
  Process node(desk / ".", rimebench_command({"node", "--serial", line.node.name()}));
  option_of(node);
  {
    // A bench that was cut off in mid-frame: the node still waits for the rest of it, and will find
    // it damaged.
    const auto cut_off = open_stream("serial:" + line.bench.name());
    const std::vector<std::uint8_t> half{0x09, 0x06, 0x02};
    cut_off->write(half, deadline_in(kSilenceMax));
  }
  const std::string serial = "serial:" + line.bench.name();
  CHECK(digest_at(desk, "rotary_steady", serial) == digest_at(desk, "rotary_steady", "inproc"));
}

TEST_CASE(
    "homes: a serial line that is unplugged ends the run and the node, each with its reason") {
  const Desk desk;
  Pty bench;
  Pty node;
  Relay cable(bench.take_master(), node.take_master(), {.at_byte = 300, .cuts = true});
  Process served(desk / ".", rimebench_command({"node", "--serial", node.name()}));
  option_of(served);
  const Ended lost = desk.run({"run", "short.yaml", "--node", "serial:" + bench.name()});
  CHECK(lost.code == 2);
  CHECK(says(lost.out, "it closed the connection"));
  CHECK(says(lost.out, "last good simulated time "));
  const Ended ended = served.end();
  CHECK(ended.code == 3);
  CHECK(says(ended.err, node.name() + ": the line is gone"));
}

TEST_CASE("homes: a serial rate that is none is refused with the list of those there are") {
  for (const char* bad : {"/dev/ttyS0,", "/dev/ttyS0,0", "/dev/ttyS0,250000", "/dev/ttyS0,9600x",
                          "/dev/ttyS0,-9600", "/dev/ttyS0,9600,8n1"}) {
    CAPTURE(bad);
    CHECK_THROWS_WITH_AS(parse_serial(bad), doctest::Contains("9600, 19200, 38400"),
                         std::invalid_argument);
  }
  CHECK_THROWS_WITH_AS(parse_serial(",9600"), doctest::Contains("expected DEV[,BAUD]"),
                       std::invalid_argument);
  CHECK(parse_serial("/dev/ttyS0").baud == 115'200);
  CHECK(parse_serial("/dev/ttyS0,4000000").baud == 4'000'000);
}

TEST_CASE("homes: a device that is no serial line is told in the system's words") {
  CHECK_THROWS_WITH_AS(open_node("serial:/dev/null"),
                       doctest::Contains("node at serial:/dev/null: "), LinkError);
  CHECK_THROWS_WITH_AS(open_node("unix:/nowhere/at/all"),
                       doctest::Contains("No such file or directory"), LinkError);
  CHECK_THROWS_WITH_AS(open_node("unix:/" + std::string(200, 'x')),
                       doctest::Contains("at most 107 bytes"), LinkError);
}
