/// The battery from the shell, over real links.

#include <sstream>

#include "tests/cli/desk.hpp"
#include "tests/support/pty.hpp"
#include "tests/support/relay.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

const std::string kNode = std::string(RIMEBENCH_COMMAND) + " node --stdio";

void check_all_kept(const Ended& ended) {
  INFO(ended.out);
  INFO(ended.err);
  CHECK(ended.code == 0);
  CHECK(says(ended.out, "31 kept, 0 broken, 0 not looked at"));
  CHECK(says(ended.out, "\"rimebench\", takes 681 changes at once"));
}

}  // namespace

TEST_CASE("node-check: our node keeps every rule over pipes, a socket and a serial line") {
  const Desk desk;
  check_all_kept(desk.run({"node-check", "--node", "exec:" + kNode}));

  const std::string socket = "unix:" + (desk / "node.socket").string();
  Process over_unix(desk / ".", rimebench_command({"node", "--listen", socket}));
  CHECK(over_unix.line() == "listening on " + socket);
  check_all_kept(desk.run({"node-check", "--node", socket}));

  Pty bench;
  Pty node;
  Relay cable(bench.take_master(), node.take_master());
  Process over_serial(desk / ".", rimebench_command({"node", "--serial", node.name()}));
  CHECK(says(over_serial.line(), "listening on serial:"));
  check_all_kept(desk.run({"node-check", "--node", "serial:" + bench.name()}));
}

TEST_CASE("node-check: our paced node keeps every rule, but for what a busy machine may spoil") {
  const Desk desk;
  const std::string socket = "unix:" + (desk / "node.socket").string();
  Process node(desk / ".", rimebench_command({"node", "--paced", "--listen", socket}));
  CHECK(node.line() == "listening on " + socket);
  const Ended ended = desk.run({"node-check", "--paced", "--node", socket});
  INFO(ended.out);
  CHECK(says(ended.out, " 0 not looked at"));
  std::istringstream lines(ended.out);
  for (std::string line; std::getline(lines, line);) {
    // Both wait for a second to pass, and the machine may stand still for as long.
    const bool timed = says(line, "  silence ") || says(line, "  kept ");
    CHECK((timed || !says(line, "  FAIL  ")));
  }
}

TEST_CASE("node-check: a lockstep node is no paced node") {
  const Desk desk;
  const Ended ended = desk.run({"node-check", "--paced", "--node", "exec:" + kNode});
  CHECK(ended.code == 1);
  CHECK(says(ended.out, "FAIL  taken"));
  CHECK(says(ended.out, "ok    nonce"));
}

TEST_CASE("node-check: a node that leaves in the middle of a check is broken, in words and code") {
  const Desk desk;
  const Ended ended = desk.run(
      {"node-check", "--node", "exec:sh -c 'dd bs=1 count=2000 status=none | " + kNode + "'"});
  CHECK(ended.code == 1);
  CHECK(says(ended.out, "FAIL  oversized"));
  CHECK(says(ended.out, "ok    version"));
}

TEST_CASE("node-check: where there is no node nothing is known, and inproc is no link") {
  const Desk desk;
  const Ended nobody = desk.run({"node-check", "--node", "unix:/nowhere/at/all"});
  CHECK(nobody.code == 2);
  CHECK(says(nobody.out, "No such file or directory"));
  CHECK(says(nobody.out, "0 kept, 0 broken, 31 not looked at"));
  const Ended inproc = desk.run({"node-check", "--node", "inproc"});
  CHECK(inproc.code == 3);
  CHECK(says(inproc.err, "there is no link to hold to the protocol"));
}
