/// Stored runs: judge and diff.

#include "tests/cli/desk.hpp"

using namespace rimebench;

TEST_CASE("command: a stored trace is judged to the bytes of the run that wrote it") {
  const Desk desk;
  for (const std::string name : {"rotary_steady", "inline_no_ramp", "inline_heads_missing",
                                 "timing_screw", "stop_restart", "missing_containers", "canary"}) {
    CAPTURE(name);
    const Ended run =
        desk.run({"run", scenario_of_demo(name), "--trace", "run.trace", "--json", "-"});
    const Ended judged = desk.run({"judge", "run.trace"});
    CHECK(judged.out == run.out);
    CHECK(judged.code == run.code);
    CHECK(judged.err.empty());
    CHECK(!desk.has("run.trace.partial"));
  }
}

TEST_CASE("command: a trace cut short is judged as far as it goes: inconclusive") {
  const Desk desk;
  REQUIRE(desk.run({"run", "short.yaml", "--trace", "run.trace"}).code == 0);
  const std::string whole = content_of(desk / "run.trace");
  for (const std::size_t left : {whole.size() - 1, whole.size() / 2}) {
    CAPTURE(left);
    put_content(desk / "cut.trace", whole.substr(0, left));
    const Ended cut = desk.run({"judge", "cut.trace"});
    CHECK(cut.code == 2);
    const auto json = nlohmann::json::parse(cut.out);
    CHECK(json["verdict"] == "inconclusive");
    CHECK(says(json["reason"], "the trace has no end: it is good up to "));
  }
}

TEST_CASE("command: what is no whole trace is bad input, named with the byte where it goes wrong") {
  const Desk desk;
  REQUIRE(desk.run({"run", "short.yaml", "--trace", "run.trace"}).code == 0);
  const std::string whole = content_of(desk / "run.trace");
  const auto judged = [&](const std::string& content) {
    put_content(desk / "odd.trace", content);
    const Ended ended = desk.run({"judge", "odd.trace"});
    CHECK(ended.code == 3);
    CHECK(ended.out.empty());
    return ended.err;
  };
  CHECK(judged("") == "rimebench: odd.trace: byte 0: not a trace: it should begin with RIMETRAC\n");
  CHECK(judged("a,b,c\n1,2,3\n and so on, for a while") ==
        "rimebench: odd.trace: byte 0: not a trace: it should begin with RIMETRAC\n");
  CHECK(judged(whole.substr(0, 100)) ==
        "rimebench: odd.trace: byte 16: the trace ends within its header\n");
  std::string damaged = whole;
  damaged[whole.size() / 2] = static_cast<char>(damaged[whole.size() / 2] ^ 1);
  const std::string error = judged(damaged);
  CHECK(says(error, "rimebench: odd.trace: byte "));
  CHECK(says(error, "damaged: the block's CRC-32 differs"));
  CHECK(judged(whole + "x") == "rimebench: odd.trace: byte " + std::to_string(whole.size()) +
                                   ": bytes after the footer\n");
  const Ended missing = desk.run({"judge", "missing.trace"});
  CHECK(missing.code == 3);
  CHECK(missing.err == "rimebench: missing.trace: cannot be read: No such file or directory\n");
}

TEST_CASE("command: two runs of one seed are the same, another seed parts somewhere") {
  const Desk desk;
  for (const auto& [file, seed] : {std::pair{"a.trace", "1"}, {"b.trace", "1"}, {"c.trace", "2"}}) {
    REQUIRE(desk.run({"run", "short.yaml", "--seed", seed, "--trace", file}).code == 0);
  }
  const Ended same = desk.run({"diff", "a.trace", "b.trace"});
  CHECK(same.code == 0);
  CHECK(same.out == "the traces hold the same signal changes\n");
  const Ended other = desk.run({"diff", "a.trace", "c.trace"});
  CHECK(other.code == 1);
  CHECK(says(other.out, "signal changes agree; the last of them:\n"));
  CHECK(says(other.out, "then they differ:\n  A "));
  CHECK(desk.run({"diff", "a.trace", "missing.trace"}).code == 3);
}
