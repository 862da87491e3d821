#include <array>

#include "harness/conformance/checks.hpp"
#include "harness/conformance/exercise.hpp"

namespace rimebench {

namespace {

void hello(const Bench& bench) { check_hello(bench, "a grant"); }

void version(const Bench& bench) {
  const auto probe = bench.greeted();
  probe->expect_refusal(framed(HelloMessage{kProtocolVersion + 1, 5}), {Refusal::kVersion, 0},
                        "a hello of version 3");
  probe->expect_unharmed("a hello of version 3");
  // What follows the version is another protocol's affair.
  probe->expect_refusal(framed_payload({0x01, 0x04}), {Refusal::kVersion, 0},
                        "a hello of version 4 without further fields");
}

void no_session(const Bench& bench) {
  const auto probe = bench.connect();
  // A serial line has no beginning: the last session is still there.
  if (!probe->starts_empty()) probe->send(framed_goodbye());
  probe->expect_refusal(framed(GrantMessage{1, Instant{10}, Duration{1}, {}}),
                        {Refusal::kNoSession, 1}, "a grant without a hello");
  probe->greet();
  probe->expect_unharmed("a grant without a hello");
}

void fresh(const Bench& bench) {
  const auto probe = bench.greeted();
  const Changes inputs = exercise();
  const Changes first = probe->run({kExerciseEnd, inputs});
  probe->greet();
  require(probe->run({kExerciseEnd, inputs}) == first,
          "the same inputs after a second hello brought other outputs: something of the first "
          "session was left");
}

void goodbye(const Bench& bench) {
  auto first = bench.greeted();
  const Changes inputs = exercise();
  const Changes outputs = first->run({kExerciseEnd, inputs});
  first->send(framed_goodbye());
  if (!first->starts_empty()) {
    first->expect_quiet("a goodbye");
    first.reset();
  }
  // Our end of the old connection is still open: it is the node that must have closed it.
  const auto second = bench.connect();
  second->greet();
  require(second->run({kExerciseEnd, inputs}) == outputs,
          "the same inputs in the next session brought other outputs");
}

constexpr std::array kChecks{
    Check{"hello", "a hello is answered with version 2, room for 256 changes and a name", hello},
    Check{"nonce", "a hello reply carries the nonce of its hello", check_nonce<Bench>},
    Check{"version", "a hello of another version is refused and changes nothing", version},
    Check{"no_session", "a grant without a hello is refused", no_session},
    Check{"fresh", "a hello begins again with a controller from power-on", fresh},
    Check{"goodbye", "a goodbye ends the session; the next bench is served", goodbye},
};

}  // namespace

std::span<const Check> session_checks() { return kChecks; }

}  // namespace rimebench
