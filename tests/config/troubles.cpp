#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

namespace {

/// The problems of the small scenario with this on one line under happens.
Texts with_happens(const std::string& happens) {
  Fixture fixture;
  fixture.edit("scenario.yaml", "feed_us: 60000000", "feed_us: 60000000\nhappens: " + happens);
  return fixture.problems();
}

bool says(const Texts& problems, const std::string& what) {
  for (const std::string& problem : problems) {
    if (problem.find(what) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("config: troubles of valve and gate are read with the keys of their kind") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "feed_us: 60000000",
               "feed_us: 60000000\n"
               "happens:\n"
               "  valve:\n"
               "    - {kind: slow, at_us: 5, for_us: 6, opens_later_us: 7, closes_later_us: 8}\n"
               "    - {kind: leaks, at_us: 5, leak_mg_per_s: 2.5}\n"
               "  core_hang: {at_us: 9}");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  const Happenings& happens = scenario->plant.happens;
  REQUIRE(happens.valve.size() == 2);
  CHECK(happens.valve[0].kind == ValveTroubleKind::kSlow);
  CHECK(happens.valve[0].lasts == 6_us);
  CHECK(happens.valve[0].closes_later == 8_us);
  CHECK(happens.valve[1].leak_mg_per_s == 2.5);
  REQUIRE(happens.core_hang);
  CHECK(happens.core_hang->at == Instant{9});
  CHECK(happens.core_hang->watchdog == 0_us);
}

TEST_CASE("config: a core that restarts is down for a while, and does not hang as well") {
  CHECK(with_happens("{core_restart: {at_us: 9, for_us: 5}}").empty());
  CHECK(says(with_happens("{core_restart: {at_us: 9}}"), "happens.core_restart.for_us: missing"));
  CHECK(says(with_happens("{core_hang: {at_us: 9}, core_restart: {at_us: 9, for_us: 5}}"),
             "happens.core_restart.at_us: a core that hangs (happens.core_hang) stays as it is"));
}

TEST_CASE("config: a link that fails says how and when; only late answers say how late") {
  CHECK(with_happens("{link_fault: {kind: cut, at_us: 9}}").empty());
  CHECK(with_happens("{link_fault: {kind: answers_late, at_us: 9, late_us: 5}}").empty());
  CHECK(says(with_happens("{link_fault: {at_us: 9}}"), "happens.link_fault.kind: missing"));
  CHECK(says(with_happens("{link_fault: {kind: cut}}"), "happens.link_fault.at_us: missing"));
  CHECK(
      says(with_happens("{link_fault: {kind: lost, at_us: 9}}"), "happens.link_fault.kind: lost"));
  CHECK(says(with_happens("{link_fault: {kind: cut, at_us: 9, late_us: 5}}"),
             "happens.link_fault.late_us: unknown key"));
  CHECK(says(with_happens("{link_fault: {kind: answers_late, at_us: 9}}"),
             "happens.link_fault.late_us: missing"));
}

TEST_CASE("config: a key of another kind of trouble is a mistake, and so is a kind unheard of") {
  CHECK(says(with_happens("{valve: [{kind: leaks, at_us: 1, leak_mg_per_s: 1, late_us: 5}]}"),
             "happens.valve[1].late_us: unknown key"));
  CHECK(says(with_happens("{valve: [{kind: leakes, at_us: 1}]}"), "happens.valve[1].kind: leakes"));
  CHECK(says(with_happens("{valve: [{kind: leaks, at_us: 1}]}"),
             "happens.valve[1].leak_mg_per_s: missing"));
}

TEST_CASE("config: two troubles of one kind may not overlap, of two kinds they may") {
  CHECK(says(with_happens("{valve: [{kind: iced, at_us: 1, flow_percent: 5},"
                          " {kind: iced, at_us: 9, flow_percent: 5}]}"),
             "happens.valve[2].at_us: 9 is before the one of the same kind above has ended"));
  CHECK(with_happens("{valve: [{kind: iced, at_us: 1, flow_percent: 5},"
                     " {kind: fails_open, at_us: 9}]}")
            .empty());
}

TEST_CASE("config: happenings of the supply need a supply") {
  CHECK(says(with_happens("{refill_blocked: [{at_us: 1, for_us: 5}]}"),
             "happens.refill_blocked: line.supply says nothing of a supply"));
}
