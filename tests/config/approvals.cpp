/// Who stands for the limits.

#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

TEST_CASE("config: approvals are read, resolved, and read back the same") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "expect:\n",
               "approvals:\n"
               "  rating_kpa: {owner: container maker, document: \"sheet \\\"4\\\"\", date: "
               "2024-02-29, signature: N. N.}\n"
               "  escapes_max: {document: plan}\n"
               "expect:\n");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  REQUIRE(scenario->approvals.size() == 2);
  const Approval& rating = scenario->approvals[0];
  CHECK(rating.limit == "rating_kpa");
  CHECK(rating.owner == LimitOwner::kContainerMaker);
  CHECK(rating.document == "sheet \"4\"");
  CHECK(rating.date == "2024-02-29");
  CHECK(rating.signature == "N. N.");
  CHECK(scenario->approvals[1].limit == "escapes_max");
  CHECK_FALSE(scenario->approvals[1].owner);
  Diagnostics diagnostics;
  const auto again = parse_resolved(scenario->resolved_text, diagnostics);
  REQUIRE(again);
  CHECK(again->resolved_text == scenario->resolved_text);
  REQUIRE(again->approvals.size() == 2);
  CHECK(again->approvals[0].document == rating.document);
  CHECK(again->approvals[0].owner == rating.owner);
}

TEST_CASE("config: a limit, an owner or a day that there is not is a mistake where it stands") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "expect:\n",
               "approvals:\n"
               "  hot_prompt_kpa_mx: {owner: safety}\n"
               "  rating_kpa: {owner: the boss, date: 2023-02-29, signed: x}\n"
               "expect:\n");
  const Texts problems = fixture.problems();
  REQUIRE(problems.size() == 4);
  const auto says = [&](std::size_t i, const char* words) {
    return problems[i].find(words) != std::string::npos;
  };
  CHECK(says(0, ": approvals.hot_prompt_kpa_mx: unknown key (nearest: hot_prompt_kpa_max)"));
  CHECK(says(1, ": approvals.rating_kpa.owner: the boss is not known (valid: container maker, "));
  CHECK(says(2, ": approvals.rating_kpa.date: 2023-02-29 is no date (valid: YYYY-MM-DD)"));
  CHECK(says(3, ": approvals.rating_kpa.signed: unknown key"));
}
