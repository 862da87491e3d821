#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

namespace {

constexpr const char* kList =
    "\n  - {at_us: 0, containers_per_min: 300}\n  - {at_us: 30000000, containers_per_min: 400}";

Texts log_problems(const std::string& csv) {
  Fixture fixture;
  fixture.edit("scenario.yaml", kList, " {log: log.csv}");
  fixture.write("log.csv", csv);
  return fixture.problems();
}

}  // namespace

TEST_CASE("speed log: rows become knots, found beside the file that names the log") {
  Fixture fixture;
  fixture.edit("scenario.yaml", kList, " {from: below/speed.yaml}");
  fixture.write("below/speed.yaml", "log: log.csv\n");
  fixture.write("below/log.csv", "time_s,speed_per_min\r\n0,300\r\n1.5,299.5\r\n");
  const auto scenario = fixture.load();
  REQUIRE(scenario);
  REQUIRE(scenario->plant.speed.size() == 2);
  CHECK(scenario->plant.speed[1].at == Instant{1'500'000});
  CHECK(scenario->plant.speed[1].containers_per_min == 299.5);
  CHECK(scenario->resolved_text.find("speed:\n  - {at_us: 0, containers_per_min: 300}\n"
                                     "  - {at_us: 1500000, containers_per_min: 299.5}\n") !=
        std::string::npos);
}

TEST_CASE("speed log: what is not exactly the format is refused, line by line") {
  CHECK(log_problems("time,speed\n0,1\n") ==
        Texts{"log.csv:1:1: speed: the first line is not time_s,speed_per_min"});
  CHECK(log_problems("time_s,speed_per_min\n") == Texts{"log.csv:1:1: speed: no speeds"});
  CHECK(log_problems("time_s,speed_per_min\n1,300\n1,300\n2;300\n3,300,5\n4,\n5,3x\n\n6,6001\n") ==
        Texts{"log.csv:2:1: speed: the first time is not 0",
              "log.csv:3:1: speed: time does not rise: 1",
              "log.csv:4:1: speed: not two fields with one comma between them",
              "log.csv:5:1: speed: not two fields with one comma between them",
              "log.csv:6:3: speed: an empty field", "log.csv:7:3: speed: 3x is not a number",
              "log.csv:8:1: speed: not two fields with one comma between them",
              "log.csv:9:3: speed: 6001 is out of range (valid: 0..6000)"});
}

TEST_CASE("speed log: a file in another format altogether does not flood the screen") {
  std::string csv = "time_s,speed_per_min\n";
  for (int i = 0; i < 1000; ++i) csv += "x\n";
  const Texts all = log_problems(csv);
  REQUIRE(all.size() == 21);
  CHECK(all.back() == "log.csv:22:1: speed: more mistakes below are not shown");
}

TEST_CASE("speed log: a log that is not there is reported where it is named") {
  Fixture fixture;
  fixture.edit("scenario.yaml", kList, " {log: none.csv}");
  CHECK(fixture.problems() == Texts{"scenario.yaml:12:14: speed.log: none.csv: no such file"});
}
