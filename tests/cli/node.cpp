/// The controller on the other side of a socket.

#include "tests/cli/desk.hpp"

using namespace rimebench;

namespace {

/// A node on a free port, until the test ends.
struct Served {
  explicit Served(const Desk& desk)
      : process(desk / ".", rimebench_command({"node", "--listen", "127.0.0.1:0"})) {
    const std::string line = process.line();
    const std::string words = "listening on 127.0.0.1:";
    REQUIRE(line.starts_with(words));
    port = line.substr(words.size());
  }

  std::string option() const { return "tcp:127.0.0.1:" + port; }

  Process process;
  std::string port;
};

}  // namespace

TEST_CASE("command: a node on port 0 prints the port it really got, and serves bench after bench") {
  const Desk desk;
  const Served node(desk);
  CHECK(std::stoi(node.port) > 0);
  const auto inproc = desk.judged({"short.yaml"});
  for (int bench = 0; bench < 2; ++bench) {
    auto tcp = desk.judged({"short.yaml", "--node", node.option()});
    CHECK(tcp["digest"] == inproc["digest"]);
    tcp["exchanges"] = inproc["exchanges"];
    CHECK(tcp == inproc);
  }
}

TEST_CASE("command: a port that is taken is bad input") {
  const Desk desk;
  const Served node(desk);
  const Ended second = desk.run({"node", "--listen", "127.0.0.1:" + node.port});
  CHECK(second.code == 3);
  CHECK(says(second.err, "cannot listen on 127.0.0.1:" + node.port + ": "));
}

TEST_CASE("command: a node killed in mid-run is inconclusive, and the trace so far is kept") {
  const Desk desk;
  desk.put("long.yaml", "feed_us: 3600000000\n");
  put_content(desk / "run.trace", "of an earlier run");
  Served node(desk);
  Process bench(desk / ".",
                rimebench_command({"run", "long.yaml", "--node", node.option(), "--trace",
                                   "run.trace", "--ledger", "/dev/stdout", "--json", "run.json"}));
  for (int row = 0; row < 500; ++row) REQUIRE(!bench.line().empty());
  CHECK(node.process.kill().code == -1);
  const Ended lost = bench.end();
  CHECK(lost.code == 2);
  CHECK(says(lost.out, "INCONCLUSIVE  "));
  const auto json = nlohmann::json::parse(content_of(desk / "run.json"));
  const std::int64_t end_us = json["end_us"];
  CHECK(end_us > 60'000'000);
  CHECK(says(json["reason"], "last good simulated time "));
  CHECK(content_of(desk / "run.trace") == "of an earlier run");
  const Ended judged = desk.run({"judge", "run.trace.partial"});
  CHECK(judged.code == 2);
  const auto again = nlohmann::json::parse(judged.out);
  CHECK(again["digest"] == json["digest"]);
  CHECK(again["containers"] == json["containers"]);
  CHECK(again["end_us"] <= end_us);
}
