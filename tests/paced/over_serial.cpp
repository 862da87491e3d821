/// Paced over a serial line: the bytes go through real pseudo-terminals, the time is simulated, so
/// that nothing depends on how busy the machine is; and once in real time.

#include <doctest/doctest.h>

#include "firmware_sim/port/node_server.hpp"
#include "harness/link/asio_stream.hpp"
#include "tests/cli/desk.hpp"
#include "tests/paced/steady_line.hpp"
#include "tests/support/pty.hpp"
#include "tests/support/relay.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

constexpr std::uint32_t kBaud = 115'200;

/// Both ends of a serial line, as the bench and as a node open it, in one thread.
class SerialLineInHand {
 public:
  Bytes to_node(const Bytes& bytes) {
    bench_->write(bytes, deadline_in(kSilenceMax));
    Bytes came;
    while (came.size() < bytes.size()) {
      const auto more = node_.receive();
      came.insert(came.end(), more.begin(), more.end());
    }
    return came;
  }

  Bytes to_bench(const Bytes& bytes) {
    node_.send(bytes);
    Bytes came(bytes.size());
    for (std::size_t count = 0; count < came.size();) {
      count += bench_->read(std::span(came).subspan(count), deadline_in(kSilenceMax));
    }
    return came;
  }

 private:
  Pty bench_end_;
  Pty node_end_;
  Relay cable_{bench_end_.take_master(), node_end_.take_master()};
  std::unique_ptr<ByteStream> bench_{open_serial({bench_end_.name(), kBaud})};
  SerialServer node_{SerialLine{node_end_.name(), kBaud}};
};

Scenario three_seconds() {
  Scenario scenario = steady();
  scenario.plant.feed = 3_s;
  return scenario;
}

}  // namespace

TEST_CASE("paced over serial: every byte of a run comes as it was sent, and so does the run") {
  const Scenario scenario = three_seconds();
  World world;
  world.node_clock_at_start = Instant{0x11'13'0a'0d'7f'00};  // bytes that a terminal would take
  Kept plain;
  const PacedResult expected = run_paced_on(scenario, world, plain);
  SerialLineInHand line;
  world.cable_to_node = [&](const Bytes& bytes) { return line.to_node(bytes); };
  world.cable_to_bench = [&](const Bytes& bytes) { return line.to_bench(bytes); };
  Kept over_serial;
  const PacedResult result = run_paced_on(scenario, world, over_serial);
  CHECK(over_serial.changes == plain.changes);
  CHECK(over_serial.rows.size() == plain.rows.size());
  CHECK(result.exchanges == expected.exchanges);
  CHECK(result.exchanges > 500);
}

TEST_CASE("paced over serial: in real time a run comes to a verdict and says how late it was") {
  const Desk desk;
  desk.put("moment.yaml", "feed_us: 500000\n");
  Pty bench;
  Pty node;
  Relay cable(bench.take_master(), node.take_master());
  Process served(desk / ".", rimebench_command({"node", "--paced", "--serial", node.name()}));
  CHECK(says(served.line(), "listening on serial:"));
  const Ended ended =
      desk.run({"run", "moment.yaml", "--paced", "--node", "serial:" + bench.name()});
  INFO(ended.out);
  INFO(ended.err);
  CHECK(ended.code >= 0);
  CHECK(ended.code <= 2);
  CHECK(says(ended.out, "no determinism claim"));
}
