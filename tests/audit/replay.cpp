#include "harness/audit/replay.hpp"

#include <doctest/doctest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <optional>

#include "harness/cli/inproc_node.hpp"
#include "harness/config/load.hpp"
#include "harness/trace/writer.hpp"
#include "tests/support/recorded_run.hpp"

using namespace rimebench;

namespace {

test::RecordedRun recorded(const std::string& scenario) {
  Diagnostics diagnostics;
  const auto loaded =
      load_scenario(std::string(REPOSITORY_DIR "/config/scenarios/") + scenario, {}, diagnostics);
  REQUIRE(loaded);
  InprocNode node;
  return test::record(loaded->plant, node);
}

/// A trace of these changes, on disk for as long as it is needed.
class StoredTrace {
 public:
  StoredTrace(const std::vector<SignalChange>& changes, std::optional<Instant> end) {
    TraceDigest digest;
    TraceWriter writer(path_, 1, "");
    for (const SignalChange& change : changes) {
      writer.add(change);
      digest.add(change);
    }
    if (end) writer.close(digest.proof(*end), 0);
    if (!end) path_ += ".partial";
  }
  ~StoredTrace() { std::filesystem::remove(path_); }
  StoredTrace(const StoredTrace&) = delete;
  StoredTrace& operator=(const StoredTrace&) = delete;

  const std::filesystem::path& file() const { return path_; }

 private:
  std::filesystem::path path_ = std::filesystem::temp_directory_path() /
                                ("rimebench_replay_" + std::to_string(::getpid()) + ".trace");
};

Replay replayed(const std::vector<SignalChange>& changes, std::optional<Instant> end) {
  const StoredTrace stored(changes, end);
  TraceReader reader(stored.file());
  InprocNode node;
  return replay(reader, node);
}

}  // namespace

TEST_CASE("yesterday's run replays through the same controller without a difference") {
  for (const char* scenario : {"stop_restart.yaml", "inline_stop.yaml", "sticking_valve.yaml"}) {
    const auto run = recorded(scenario);
    const Replay result = replayed(run.changes, run.result.end);
    CHECK_FALSE(result.difference);
    CHECK(result.complete);
    CHECK(result.end == run.result.end);
    CHECK(result.inputs + result.agreed == run.proof().changes);
  }
}

TEST_CASE(
    "an output that the trace has and the controller does not give is shown with its context") {
  auto run = recorded("stop_restart.yaml");
  const auto shots = run.of(Channel::kValve);
  REQUIRE(shots.size() > 100);
  // The wires said something else yesterday: one closing came a microsecond later.
  for (SignalChange& change : run.changes) {
    if (change.channel == Channel::kValve && change.at == shots[101].at) change.at.us += 1;
  }
  std::sort(run.changes.begin(), run.changes.end(), canonical_before);
  const Replay result = replayed(run.changes, run.result.end);
  REQUIRE(result.difference);
  CHECK(result.differs_at() == shots[101].at);
  REQUIRE(result.difference->replayed);
  CHECK(*result.difference->replayed == shots[101]);
  CHECK_FALSE(result.difference->recorded);
  REQUIRE_FALSE(result.difference->before.empty());
  CHECK(result.difference->before.back().at <= shots[101].at);
}

TEST_CASE("one sensor edge less is a container less: the replay parts at its shot") {
  auto run = recorded("stop_restart.yaml");
  const auto edges = run.of(Channel::kContainerSensor);
  const auto gone = [&](const SignalChange& change) {
    return change.channel == Channel::kContainerSensor &&
           (change.at == edges[200].at || change.at == edges[201].at);
  };
  std::erase_if(run.changes, gone);
  const Replay result = replayed(run.changes, run.result.end);
  REQUIRE(result.difference);
  CHECK(result.differs_at() > edges[200].at);
  CHECK(result.differs_at() < edges[212].at);
}

TEST_CASE("a trace without its end replays as far as it goes, and says that it is not whole") {
  const auto run = recorded("stop_restart.yaml");
  const Replay result = replayed({run.changes.begin(), run.changes.begin() + 6000}, std::nullopt);
  CHECK_FALSE(result.difference);
  CHECK_FALSE(result.complete);
  CHECK(result.agreed > 0);
}
