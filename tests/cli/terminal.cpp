/// What stands on a terminal, and only there.

#include <algorithm>
#include <sstream>

#include "harness/cli/progress.hpp"
#include "harness/judge/verdict_text.hpp"
#include "tests/cli/desk.hpp"

using namespace rimebench;

namespace {

Verdict failed() {
  Verdict verdict;
  verdict.outcome = Outcome::kFail;
  verdict.reason =
      "settled pressure 140.2 kPa (20.3 psi), at least 167.0 kPa (24.2 psi) needed; "
      "96 of 396; first at 16.629 s: container 3, place 3, 166.7 kPa (24.2 psi)";
  Finding finding;
  finding.name = "equilibrium_kpa_min";
  finding.outcome = Outcome::kFail;
  finding.unit = "kPa";
  verdict.findings.push_back(finding);
  return verdict;
}

}  // namespace

TEST_CASE("terminal: colour stands where it is asked for, and says nothing that the words do not") {
  const Scenario scenario;
  const std::string plain = to_terminal(scenario, failed(), "rimebench run x.yaml");
  CHECK(plain.find('\033') == std::string::npos);
  std::string painted = to_terminal(scenario, failed(), "rimebench run x.yaml", {100, true});
  CHECK(says(painted, "\033[31mFAIL  \033[0m"));
  for (const char* code : {"\033[31m", "\033[0m"}) {
    for (std::size_t at; (at = painted.find(code)) != std::string::npos;) {
      painted.erase(at, std::string(code).size());
    }
  }
  CHECK(painted == plain);
}

TEST_CASE("terminal: sentences keep to its width") {
  std::istringstream lines(to_terminal(Scenario{}, failed(), "r", {60, false}));
  bool headline = false;
  for (std::string line; std::getline(lines, line);) {
    headline = headline || line.starts_with("FAIL  ");
    const bool sentence = line.starts_with("FAIL  ") || line.starts_with("A model ");
    if (sentence) CHECK(line.size() <= 60);
  }
  CHECK(headline);
}

TEST_CASE("terminal: progress tells how far, how fast and how long still") {
  CHECK(progress_text(0.37, 1'240'000.0, 12.4) ==
        "37 % of the line time, 1240000 signal changes a second, 12 s left");
  CHECK(progress_text(1.2, 10.0, 0.0) ==
        "99 % of the line time, 10 signal changes a second, 0 s left");
  CHECK(says(progress_text(0.1, 1.0, 600.0), "10 min left"));
}

TEST_CASE("command: what is no terminal gets neither colour nor progress") {
  const Desk desk;
  const Ended ended = desk.run({"run", "short.yaml"});
  CHECK(ended.out.find('\033') == std::string::npos);
  CHECK(ended.err.empty());
}
