#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include "harness/config/load.hpp"
#include "tests/support/verdict_of.hpp"

using namespace rimebench;

namespace {

constexpr std::uint64_t kSeedFirst = 2;
constexpr std::uint64_t kSeedLast = 21;

std::vector<Scenario> handled_scenarios() {
  std::vector<Scenario> found;
  for (const auto& entry :
       std::filesystem::directory_iterator(REPOSITORY_DIR "/config/scenarios")) {
    if (entry.path().extension() != ".yaml") continue;
    Diagnostics diagnostics;
    auto scenario = load_scenario(entry.path().string(), {}, diagnostics);
    REQUIRE(scenario);
    if (scenario->claim == Claim::kHandled && !scenario->is_long) found.push_back(*scenario);
  }
  return found;
}

/// Under a seamer that is slower than the ramp was planned for, a wait just within what the recipe
/// allows and a dose that is small by chance are together too little: some of 8 000 containers.
std::int64_t escapes_allowed(const std::string& scenario) {
  return scenario.starts_with("inline_slow_seamer_") ? 3 : 0;
}

}  // namespace

TEST_CASE("seeds: what is handled is handled under other draws of chance, too") {
  const std::vector<Scenario> scenarios = handled_scenarios();
  CHECK(scenarios.size() >= 45);
  std::vector<std::int64_t> passed(scenarios.size());
  std::vector<std::string> said(scenarios.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < scenarios.size(); i = next++) {
      Scenario scenario = scenarios[i];
      for (std::uint64_t seed = kSeedFirst; seed <= kSeedLast; ++seed) {
        scenario.plant.seed = seed;
        const Verdict verdict = test::verdict_of(scenario);
        const auto escaped = verdict.escapes_sensed.count + verdict.escapes_missed_by_gate;
        passed[i] += escaped;
        if (escaped > 0) said[i] += " seed " + std::to_string(seed) + ": " + verdict.reason;
      }
    }
  };
  {
    std::jthread other(work);
    work();
  }
  for (std::size_t i = 0; i < scenarios.size(); ++i) {
    INFO(scenarios[i].name, said[i]);
    CHECK(passed[i] <= escapes_allowed(scenarios[i].name));
  }
}
