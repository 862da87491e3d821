#include <doctest/doctest.h>

#include "tests/config/fixture.hpp"

using namespace rimebench;

TEST_CASE("config: five mistakes in three files are reported in one pass, where they stand") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "feed_us: 60000000", "feed_us: 060000000");
  fixture.edit("scenario.yaml", "  dose_ug: 70000\n", "");
  fixture.edit("can.yaml", "rating_kpa: 620", "ratng_kpa: 620");
  fixture.edit("line.yaml", "height_um: 20000", "height_um: -3");
  fixture.edit("line.yaml", "flow_ug_per_us: 3.5", "flow_ug_per_us: .nan");
  CHECK(fixture.problems() ==
        Texts{"scenario.yaml:2:10: feed_us: 060000000 has a leading zero, which some programs "
              "read as octal (valid: 1..604800000000 us; the filler releases containers this "
              "long; then the line runs empty)",
              "scenario.yaml:16:3: recipe.dose_ug: missing",
              "can.yaml:6:1: container.ratng_kpa: unknown key (nearest: rating_kpa)",
              "line.yaml:11:68: line.valve.flow_ug_per_us: .nan is not a finite number (valid: "
              "0.01..1000 ug/us; liquid through the open valve; g/s is the same number)",
              "line.yaml:12:21: line.nozzle.height_um: -3 is below 0 (valid: 0..1000000 um; "
              "nozzle above the rim)"});
}

TEST_CASE("config: a number is never guessed from text, booleans, floats or quotes") {
  const auto problem = [](const std::string& value) {
    Fixture fixture;
    fixture.edit("scenario.yaml", "dose_ug: 70000", "dose_ug: " + value);
    const Texts all = fixture.problems();
    REQUIRE(all.size() == 1);
    const std::size_t from = all[0].find("dose_ug: ") + 9;
    return all[0].substr(from, all[0].find(" (valid") - from);
  };
  CHECK(problem("70000.5") == "70000.5 is not a whole number");
  CHECK(problem("70000.0") == "70000.0 is not a whole number");
  CHECK(problem("7e4") == "7e4 is not a whole number");
  CHECK(problem("0x10") == "0x10 is not a whole number");
  CHECK(problem("1_000") == "1_000 is not a whole number");
  CHECK(problem("+5") == "+5 is not a whole number");
  CHECK(problem("yes") == "yes is not a whole number");
  CHECK(problem("true") == "true is not a whole number");
  CHECK(problem("\"70000\"") == "\"70000\" is text: write it without quotes");
  CHECK(problem("99999999999999999999") == "99999999999999999999 is out of range");
  CHECK(problem("[1]") == "a list, not a number");
  CHECK(problem("{a: 1}") == "a map, not a number");
  CHECK(problem("") == "nothing, not a number");
  CHECK(problem(".inf") == ".inf is not a finite number");
}

TEST_CASE("config: only true and false are booleans") {
  for (const std::string word : {"yes", "no", "on", "True", "1"}) {
    Fixture fixture;
    fixture.edit("line.yaml", "line_pulse_pitch_um: 22500", "lid_sensor: " + word);
    CHECK(fixture.problems() ==
          Texts{"line.yaml:17:24: line.controls.lid_sensor: " + word +
                " is not true or false (valid: true, false; the lid present signal is wired; "
                "locked transport only)"});
  }
}

TEST_CASE("config: a key given twice is a mistake even if both say the same") {
  Fixture fixture;
  fixture.edit("can.yaml", "body_um: 66100\n", "body_um: 66100\nbody_um: 66100\n");
  CHECK(fixture.problems() ==
        Texts{"can.yaml:6:1: container.body_um: given twice, first in line 5"});
}

TEST_CASE("config: a key unlike any other is shown the keys that there are") {
  Fixture fixture;
  fixture.edit("line.yaml", "delay_us: 20000", "delay_us: 20000, colour: red");
  CHECK(fixture.problems() == Texts{"line.yaml:16:25: line.gate.colour: unknown key (valid: "
                                    "bin_holds, bin_spare, confirm_delay_us, delay_us)"});
}

TEST_CASE("config: every required part of a scenario is asked for") {
  Fixture fixture;
  fixture.write("scenario.yaml", "seed: 7\n");
  CHECK(fixture.problems() ==
        Texts{"scenario.yaml:1:1: title: missing", "scenario.yaml:1:1: feed_us: missing",
              "scenario.yaml:1:1: container: missing", "scenario.yaml:1:1: product: missing",
              "scenario.yaml:1:1: line: missing", "scenario.yaml:1:1: speed: missing",
              "scenario.yaml:1:1: recipe: missing", "scenario.yaml:1:1: expect: missing"});
}

TEST_CASE("config: a filler without its kind is one mistake, whatever else it says") {
  Fixture fixture;
  fixture.edit("line.yaml", "kind: rotary", "knd: rotary");
  CHECK(fixture.problems() == Texts{"line.yaml:2:9: line.filler.kind: missing"});
  fixture.edit("line.yaml", "knd: rotary", "kind: square");
  CHECK(fixture.problems() ==
        Texts{"line.yaml:2:16: line.filler.kind: square is not known (valid: rotary, inline; one "
              "stream, or heads released together)"});
}

TEST_CASE("config: names are looked up, and the nearest one is shown") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "expect:\n",
               "expect:\n  must_reach: [rejectd]\n  alarm: open_to_long\n");
  fixture.edit("scenario.yaml", "title: fixture", "title: fixture\nclaim: maybe");
  CHECK(
      fixture.problems() ==
      Texts{"scenario.yaml:2:8: claim: maybe is not known (valid: steady, handled, escape, trial, "
            "lost; steady: nothing goes wrong; handled: what goes wrong can be sensed and nothing "
            "bad "
            "leaves; escape: no sensor can tell, so it must fail; trial: no model can say, so it "
            "must be inconclusive; lost: the link fails, so it must be too)",
            "scenario.yaml:25:16: expect.must_reach[1]: rejectd is not known (nearest: rejected)",
            "scenario.yaml:26:10: expect.alarm: open_to_long is not known (nearest: "
            "open_too_long)"});
}

TEST_CASE("config: files that are no scenario are named with the reason") {
  Fixture fixture;
  const auto problem = [&](const std::string& text) {
    fixture.write("odd.yaml", text);
    const Texts all = fixture.problems("odd.yaml");
    return all.empty() ? "" : all[0];
  };
  CHECK(fixture.problems("none.yaml") == Texts{"none.yaml: no such file"});
  CHECK(problem("") == "odd.yaml: the file is empty");
  CHECK(problem("# only a comment\n") == "odd.yaml: the file is empty");
  CHECK(problem("- a list\n") == "odd.yaml:1:1: a list, not a map of keys");
  CHECK(problem(std::string("a: 1\0", 5)) == "odd.yaml: not a text file (UTF-8): byte 5");
  CHECK(problem("title: \xff\n") == "odd.yaml: not a text file (UTF-8): byte 8");
  CHECK(problem("a: [1, 2\n") == "odd.yaml:2:1: not valid YAML: end of sequence flow not found");
  CHECK(problem(std::string(100'000, '[')) == "odd.yaml:1:1: nested too deeply");
  CHECK(problem(std::string((16U << 20U) + 1, 'a')) == "odd.yaml: larger than 16 MiB");
}

TEST_CASE("config: what YAML offers beyond maps, lists and values is refused") {
  Fixture fixture;
  fixture.edit("scenario.yaml", "title: fixture", "title: &name fixture");
  fixture.edit("scenario.yaml", "feed_us: 60000000", "feed_us: !!int 60000000");
  fixture.edit("scenario.yaml", "  fill_sd_ml: 1\n", "  fill_sd_ml: 1\n  ? [a]\n  : 1\n");
  fixture.edit("can.yaml", "factor: 1.25\n", "factor: 1.25\n---\nbrimful_ml: 2\n");
  CHECK(fixture.problems() ==
        Texts{"scenario.yaml:1:8: title: an anchor: use from: to share a map",
              "scenario.yaml:2:10: feed_us: a tag: the key says which type its value has",
              "scenario.yaml:7:5: product: a key must be a word",
              "can.yaml:9:1: container: a second document: one file is one map"});
}

TEST_CASE("config: a quote that is never closed is seen") {
  Fixture fixture;
  fixture.write("odd.yaml", "title: \"it's\n");
  CHECK(fixture.problems("odd.yaml").back() ==
        "odd.yaml:1:8: title: the quote that opens here stays open");
}
