#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

TEST_CASE("config: a key beside from wins over the file it refers to") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "{from: can.yaml}", "{from: can.yaml, rating_kpa: 600}");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  CHECK(scenario->plant.container.rating_kpa == 600);
  CHECK(scenario->plant.container.brimful_ml == 374);
  CHECK(scenario->plant.limits.hot_prompt_pa_max == 480'000);  // 600 / 1.25
}

TEST_CASE("config: along a chain of files the one nearest the reader wins") {
  Fixture fixture;
  fixture.write("a/b/middle.yaml", "from: ../../scenario.yaml\nseed: 2\nproduct: {fill_ml: 350}\n");
  fixture.write("top.yaml", "from: a/b/middle.yaml\nproduct: {fill_sd_ml: 2}\n");
  const auto scenario = fixture.load("top.yaml");
  REQUIRE(scenario);
  CHECK(scenario->name == "top");
  CHECK(scenario->title == "fixture");
  CHECK(scenario->plant.seed == 2);
  CHECK(scenario->plant.product.fill_ml == 350);
  CHECK(scenario->plant.product.fill_sd_ml == 2);
  CHECK(scenario->plant.product.rim_to_drink_um == 15'000);
}

TEST_CASE("config: a list replaces a list") {
  Fixture fixture;
  fixture.write("top.yaml", "from: scenario.yaml\nspeed: [{at_us: 0, containers_per_min: 1}]\n");
  const auto scenario = fixture.load("top.yaml");
  REQUIRE(scenario);
  CHECK(scenario->plant.speed.size() == 1);
}

TEST_CASE("config: a map with its own from replaces the map below, nothing is left over") {
  Fixture fixture;
  fixture.write("top.yaml", "from: scenario.yaml\nline: {from: queued.yaml}\n");
  const auto scenario = fixture.load("top.yaml");
  REQUIRE(scenario);
  CHECK(scenario->plant.line.filler.pitch_um == 0);
  CHECK(scenario->plant.line.stations.lid_um == 0);
}

TEST_CASE("config: the seed of the command line wins, and is in the resolved text") {
  Fixture fixture;
  const auto scenario = fixture.load("scenario.yaml", {18'446'744'073'709'551'615U});
  REQUIRE(scenario);
  CHECK(scenario->plant.seed == 18'446'744'073'709'551'615U);
  CHECK(scenario->resolved_text.find("\nseed: 18446744073709551615\n") != std::string::npos);
}

TEST_CASE("config: files that refer in a circle are named in full") {
  Fixture fixture;
  fixture.write("top.yaml", "from: other.yaml\n");
  fixture.write("other.yaml", "seed: 1\nfrom: ./top.yaml\n");
  CHECK(fixture.problems("top.yaml") ==
        Texts{"other.yaml:2:7: from: files refer in a circle: top.yaml -> other.yaml -> top.yaml"});
}

TEST_CASE("config: files that refer to each other many times over are cut off") {
  Fixture fixture;
  const std::string names = "012345678";
  for (std::size_t i = 0; i + 1 < names.size(); ++i) {
    const std::string next{names[i + 1]};
    fixture.write(std::string{names[i]}.append(".yaml"),
                  "a: {from: " + next + ".yaml}\nb: {from: " + next + ".yaml}\n");
  }
  fixture.write("8.yaml", "c: 1\n");
  const Texts all = fixture.problems("0.yaml");
  int limits = 0;
  for (const std::string& text : all) limits += text.find("more than 100") != std::string::npos;
  CHECK(limits == 1);
}

TEST_CASE("config: a missing base is one mistake, and what stands beside it is still read") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "{from: can.yaml}", "{from: none.yaml, rating_kpa: 5}");
  CHECK(fixture.problems() ==
        Texts{"scenario.yaml:3:19: container.from: none.yaml: no such file",
              "scenario.yaml:3:42: container.rating_kpa: 5 is below 10 (valid: 10..10000 kPa; the "
              "supplier's pressure rating, gauge)"});
}
