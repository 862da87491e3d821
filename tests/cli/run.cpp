/// rimebench run and check, as a shell sees them.

#include <algorithm>

#include "tests/cli/desk.hpp"
#include "tests/support/golden.hpp"

using namespace rimebench;

namespace {

std::size_t lines_of(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_CASE("command: a line that is right exits 0, one that is wrong 1") {
  const Desk desk;
  const Ended pass = desk.run({"run", "short.yaml"});
  CHECK(pass.code == 0);
  CHECK(says(pass.out, "\nPASS  every expectation is met\n"));
  CHECK(pass.err.empty());
  desk.put("hot.yaml", "recipe: {from: " REPOSITORY_DIR
                       "/config/recipes/rotary_can_355.yaml, dose_ug: 110000}\n");
  const Ended fail = desk.run({"run", "hot.yaml"});
  CHECK(fail.code == 1);
  CHECK(says(fail.out, "\nFAIL  settled pressure "));
}

TEST_CASE("command: a drink that foams exits 2: trial required") {
  const Desk desk;
  desk.put("foam.yaml", "product: {from: " REPOSITORY_DIR
                        "/config/products/still_water_355.yaml, carbonation_volumes: 1.5}\n"
                        "expect: {container: {equilibrium_kpa_max: 9000}}\n"
                        "container: {from: " REPOSITORY_DIR
                        "/config/containers/can_355.yaml, rating_kpa: 9000}\n");
  const Ended ended = desk.run({"run", "foam.yaml"});
  CHECK(ended.code == 2);
  CHECK(says(ended.out, "\nINCONCLUSIVE  trial required: the drink foams"));
}

TEST_CASE("command: where there is no node the run is inconclusive, and keeps no trace") {
  const Desk desk;
  const Ended ended =
      desk.run({"run", "short.yaml", "--node", "tcp:127.0.0.1:1", "--trace", "run.trace"});
  CHECK(ended.code == 2);
  CHECK(says(ended.out, "INCONCLUSIVE  "));
  CHECK(says(ended.out, "last good simulated time 0 us"));
  CHECK(!desk.has("run.trace"));
  CHECK(!desk.has("run.trace.partial"));
}

TEST_CASE("command: what nobody asked for is bad input") {
  const Desk desk;
  const std::vector<std::vector<std::string>> wrong{
      {},
      {"frobnicate"},
      {"run"},
      {"run", "short.yaml", "--frobnicate"},
      {"run", "missing.yaml"},
      {"run", "short.yaml", "--seed", "010"},
      {"run", "short.yaml", "--seed", "-1"},
      {"run", "short.yaml", "--seed", "18446744073709551616"},
      {"run", "short.yaml", "--node", "carrier pigeon"},
      {"run", "short.yaml", "--node", "tcp:127.0.0.1:0"},
      {"run", "short.yaml", "--grant-changes", "0"},
      {"run", "short.yaml", "short.yaml", "--json", "-"},
      {"check"},
      {"check", "missing.yaml"},
      {"node"},
      {"node", "--listen", "nowhere"},
      {"diff", "a.trace"},
  };
  for (const auto& words : wrong) {
    std::string shown;
    for (const std::string& word : words) shown += word + " ";
    CAPTURE(shown);
    const Ended ended = desk.run(words);
    CHECK(ended.code == 3);
    CHECK(ended.out.empty());
    CHECK(!ended.err.empty());
  }
}

TEST_CASE("command: check lists every mistake of every file with its place, and runs nothing") {
  const Desk desk;
  put_content(desk / "wrong.yaml", "from: " + scenario_of_demo("rotary_steady") +
                                       "\n"
                                       "seed: 007\n"
                                       "feed_us: -5\n"
                                       "sped: []\n"
                                       "recipe: {from: " REPOSITORY_DIR
                                       "/config/recipes/rotary_can_355.yaml, dose_ug: plenty}\n"
                                       "claim: perhaps\n");
  const Ended ended = desk.run({"check", "short.yaml", "wrong.yaml"});
  CHECK(ended.code == 3);
  CHECK(ended.out.empty());
  CHECK(lines_of(ended.err) == 5);
  for (const char* place :
       {"wrong.yaml:2:7: seed: ", "wrong.yaml:3:10: feed_us: ", "wrong.yaml:4:1: sped: ",
        ": recipe.dose_ug: ", "wrong.yaml:6:8: claim: "}) {
    CAPTURE(place);
    CHECK(says(ended.err, place));
  }
  CHECK(desk.run({"check", "short.yaml"}).out == "short.yaml: short: valid\n");
}

TEST_CASE("command: bad input leaves no file, and the results of earlier runs as they were") {
  const Desk desk;
  put_content(desk / "kept.json", "old");
  put_content(desk / "kept.trace", "old");
  put_content(desk / "wrong.yaml", "title: nothing else\n");
  for (const auto& words : std::vector<std::vector<std::string>>{
           {"run", "wrong.yaml", "--json", "kept.json", "--trace", "kept.trace", "--ledger", "l"},
           {"run", "short.yaml", "--json", "kept.json", "--trace", "kept.trace", "--seed", "x"},
           {"run", "short.yaml", "--json", "kept.json", "--trace", "kept.trace", "--node", "x"},
       }) {
    CHECK(desk.run(words).code == 3);
    CHECK(content_of(desk / "kept.json") == "old");
    CHECK(content_of(desk / "kept.trace") == "old");
    for (const char* file : {"kept.json.partial", "kept.trace.partial", "l", "l.partial"}) {
      CHECK(!desk.has(file));
    }
  }
}

TEST_CASE("command: an output that cannot be written is named before anything runs") {
  const Desk desk;
  std::filesystem::create_directory(desk / "folder");
  for (const std::string option : {"--json", "--trace", "--ledger"}) {
    CAPTURE(option);
    const Ended nowhere = desk.run({"run", "short.yaml", option, "nowhere/file"});
    CHECK(nowhere.code == 3);
    CHECK(nowhere.out.empty());
    CHECK(nowhere.err ==
          "rimebench: nowhere/file.partial: cannot be written: No such file or directory\n");
    const Ended folder = desk.run({"run", "short.yaml", option, "folder"});
    CHECK(folder.code == 3);
    CHECK(folder.err == "rimebench: folder: cannot be written: Is a directory\n");
  }
}

TEST_CASE("command: a verdict that standard output cannot take is not taken for given") {
  const Desk desk;
  const Ended ended =
      Process(desk / ".", {"/bin/sh", "-c", "'" RIMEBENCH_COMMAND "' run short.yaml >/dev/full"})
          .end();
  CHECK(ended.code == 4);
  CHECK(ended.err == "rimebench: standard output is full\n");
}

TEST_CASE("command: --json - is JSON and nothing else, and the file has the same bytes") {
  const Desk desk;
  const Ended to_terminal = desk.run({"run", "short.yaml", "--json", "-"});
  CHECK(to_terminal.code == 0);
  const auto json = nlohmann::json::parse(to_terminal.out);
  CHECK(json["verdict"] == "pass");
  CHECK(json["scenario"] == "short");
  const Ended to_file = desk.run({"run", "short.yaml", "--json", "result.json"});
  CHECK(says(to_file.out, "PASS"));
  CHECK(content_of(desk / "result.json") == to_terminal.out);
  CHECK(!desk.has("result.json.partial"));
}

TEST_CASE("command: the seed on the command line goes over the scenario's, and repeats the run") {
  const Desk desk;
  const auto own = desk.judged({"short.yaml"});
  const auto other = desk.judged({"short.yaml", "--seed", "18446744073709551615"});
  CHECK(own["seed"] == 1);
  CHECK(other["seed"].get<std::uint64_t>() == 18'446'744'073'709'551'615U);
  CHECK(own["digest"] != other["digest"]);
  CHECK(desk.judged({"short.yaml", "--seed", "1"})["digest"] == own["digest"]);
}

TEST_CASE("command: the command it hands you repeats the run, odd file names and all") {
  const Desk desk;
  desk.put("it's short.yaml", "");
  const Ended first = desk.run({"run", "it's short.yaml", "--seed", "3"});
  const std::size_t start = first.out.find("repeat: rimebench ");
  REQUIRE(start != std::string::npos);
  const std::string words = first.out.substr(start + 18, first.out.find('\n', start) - start - 18);
  CHECK(words == "run 'it'\\''s short.yaml' --seed 3");
  const Ended again =
      Process(desk / ".", {"/bin/sh", "-c", "'" RIMEBENCH_COMMAND "' " + words}).end();
  CHECK(again.out == first.out);
}

TEST_CASE("command: several scenarios run in turn, and the worst verdict is the exit code") {
  const Desk desk;
  desk.put("few.yaml", "expect: {containers_min: 100000}\n");
  const Ended ended = desk.run({"run", "short.yaml", "few.yaml", "short.yaml"});
  CHECK(ended.code == 1);
  CHECK(says(ended.out, "few: short\n"));
  const std::size_t first = ended.out.find("short: short\n");
  CHECK(first == 0);
  CHECK(says(ended.out.substr(1), "\nshort: short\n"));
}

TEST_CASE("command: how a run is cut into grants does not change its digest") {
  const Desk desk;
  const auto usual = desk.judged({"short.yaml"});
  for (const std::string cut : {"1", "7", "all", "random"}) {
    CAPTURE(cut);
    auto json = desk.judged({"short.yaml", "--grant-changes", cut});
    if (cut == "1") CHECK(json["exchanges"] > usual["exchanges"]);
    json["exchanges"] = usual["exchanges"];
    CHECK(json == usual);
  }
}

TEST_CASE("command: help fits one screen and names every exit code") {
  const Desk desk;
  const Ended help = desk.run({"--help"});
  CHECK(help.code == 0);
  CHECK(lines_of(help.out) >= 24);
  CHECK(lines_of(help.out) <= 40);
  CHECK(says(help.out, "0 pass, 1 fail, 2 inconclusive"));
  for (const std::string command : {"run", "check", "judge", "diff", "node"}) {
    const Ended one = desk.run({command, "--help"});
    CHECK(one.code == 0);
    CHECK(lines_of(one.out) <= 40);
  }
}

TEST_CASE("command: keys lists every key a scenario may have") {
  const Ended keys = Desk().run({"check", "--keys"});
  CHECK(keys.code == 0);
  for (const char* key : {"feed_us", "equilibrium_kpa_min", "dose_ug", "carbonation_volumes"}) {
    CHECK(says(keys.out, key));
  }
}

TEST_CASE("command: the line without its ramp says which place, how soft, which container, when") {
  const Ended ended = rimebench_in(REPOSITORY_DIR, {"run", "config/scenarios/inline_no_ramp.yaml"});
  CHECK(ended.code == 1);
  CHECK_GOLDEN("inline_no_ramp.txt", ended.out);
}
