/// Lines as they are, with what happens on them: every container is followed to the gate.

#include <doctest/doctest.h>

#include "tests/properties/container_truth.hpp"

namespace rimebench::properties {

TEST_CASE(
    "lines: whatever happens, a container that is not good is rejected and none has two shots") {
  Seen seen;
  std::int64_t containers = 0;
  std::int64_t good = 0;
  holds(1'500, [&] {
    const LinePlan plan = *rc::gen::exec([] { return any_plan(false); });
    const StagedLine line = stage_line(plan);
    WireRules rules(seen);
    const Played played = drive(line.inputs, line.feedback, line.end, rules);
    const std::vector<Fate> fates = fates_of(line, played.outputs);
    check_containers(line, fates, rules);
    containers += static_cast<std::int64_t>(fates.size());
    for (const Fate& fate : fates) good += fate.good ? 1 : 0;
  });
  MESSAGE(containers << " containers, " << good << " of them good; " << seen.streams << " streams");
  CHECK(seen.streams > 0);
  CHECK(good > containers / 3);
}

TEST_CASE("lines: where nothing happens every container is good and none is rejected") {
  Seen seen;
  holds(300, [&] {
    const LinePlan plan = *rc::gen::exec([] { return any_plan(true); });
    const StagedLine line = stage_line(plan);
    WireRules rules(seen);
    const Played played = drive(line.inputs, line.feedback, line.end, rules);
    check_calm(line, fates_of(line, played.outputs));
  });
}

}  // namespace rimebench::properties
