#include <doctest/doctest.h>

#include <future>
#include <ostream>
#include <sstream>
#include <string>
#include <thread>

#include "firmware_sim/port/node_server.hpp"
#include "harness/cli/inproc_node.hpp"
#include "harness/cli/node_command.hpp"
#include "harness/cli/node_option.hpp"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// A stream that hands over what was written when it is flushed: a node's announcement is of no use
/// in a buffer.
class Announcement : public std::stringbuf {
 public:
  std::string wait() { return flushed_.get_future().get(); }

 private:
  int sync() override {
    flushed_.set_value(str());
    return 0;
  }
  std::promise<std::string> flushed_;
};

/// `rimebench node --listen 127.0.0.1:0 --once` in a thread.
class NodeProcess {
 public:
  ~NodeProcess() { thread_.join(); }

  /// The option that reaches it.
  std::string option() {
    const std::string line = announcement_.wait();
    const std::string lead = "listening on ";
    REQUIRE(line.starts_with(lead));
    REQUIRE(line.find('\n') == line.size() - 1);
    return "tcp:" + line.substr(lead.size(), line.size() - lead.size() - 1);
  }

 private:
  Announcement announcement_;
  std::thread thread_{[this] {
    std::ostream out(&announcement_);
    std::ostringstream err;
    CHECK(node_command({"127.0.0.1:0", true}, out, err) == ExitCode::kPass);
  }};
};

Changes run(Node& node, Changes inputs, const Feedback& feedback) {
  const Instant end{3'000'000};
  Changes outputs;
  for (Instant at{}; at < end;) {
    std::erase_if(inputs, [&](const SignalChange& change) { return change.at < at; });
    const Reached reached = node.exchange({end, feedback, inputs});
    at = reached.at;
    outputs.insert(outputs.end(), reached.outputs.begin(), reached.outputs.end());
  }
  return outputs;
}

Changes three_containers() {
  Script script;
  script.started(rotary_recipe()).belt(0, 3'000'000, 10'000);
  script.container(103'000).container(403'000).container(1'203'000);
  script.set(933'000, Channel::kRunPermit, 0);
  return script.changes();
}

}  // namespace

TEST_CASE("node: the controller puts out the same behind a port as inside the bench") {
  const auto inproc = open_node("inproc");
  const Changes expected = run(*inproc, three_containers(), kNoFeedback);
  CHECK(expected.size() > 10);
  for (const Feedback& feedback : {kNoFeedback, Feedback{3_ms}, Feedback{1_us}}) {
    NodeProcess process;
    const auto node = open_node(process.option());
    CHECK(run(*node, three_containers(), feedback) == expected);
  }
}

TEST_CASE("node: an address that is none is refused in words") {
  for (const char* bad : {"", "localhost", "localhost:", ":7000", "localhost:70000", "localhost:-1",
                          "localhost:7x", "::1:7000", "[::1]"}) {
    CAPTURE(bad);
    CHECK_FALSE(parse_host_port(bad));
    CHECK_THROWS_WITH_AS(open_node(std::string("tcp:") + bad),
                         doctest::Contains("expected tcp:HOST:PORT"), std::invalid_argument);
    std::ostringstream out;
    std::ostringstream err;
    CHECK(node_command({bad, true}, out, err) == ExitCode::kBadInput);
    CHECK(err.str().find("HOST:PORT") != std::string::npos);
  }
  CHECK_THROWS_WITH_AS(open_node("tcp:localhost:0"), doctest::Contains("a port from 1"),
                       std::invalid_argument);
  CHECK_THROWS_WITH_AS(
      open_node("usb"),
      doctest::Contains("expected inproc, tcp:HOST:PORT, unix:PATH, serial:DEV[,BAUD]"),
      std::invalid_argument);
}

TEST_CASE("node: an IPv6 host stands in brackets") {
  const auto address = parse_host_port("[::1]:7000");
  REQUIRE(address);
  CHECK(address->host == "::1");
  CHECK(address->port == 7000);
}

TEST_CASE("node: a port that another program has is bad input, and the address is named") {
  const SocketServer holder(ListenAddress{"127.0.0.1", 0});
  std::ostringstream out;
  std::ostringstream err;
  CHECK(node_command({holder.address(), true}, out, err) == ExitCode::kBadInput);
  CHECK(err.str().find("cannot listen on " + holder.address()) == 0);
  CHECK(out.str().empty());
}
