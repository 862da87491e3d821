#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "harness/cli/node_option.hpp"
#include "plant_model/kernel/random.hpp"
#include "tests/link/served.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;
using test::plant_of;
using test::RecordedRun;
using test::run_inproc;

namespace {

/// Scenarios that differ in what may depend on the cutting: a queue, stops, signals that come back.
const std::vector<std::string> kScenarios{
    "rotary_steady", "timing_screw",   "inline_ramp", "missing_containers", "stop_restart",
    "whole_shift",   "sticking_valve", "cold_start",  "controller_restarts"};
constexpr std::int64_t kFeedUs = 90'000'000;

RunProof proof_over_tcp(const PlantSpec& spec, const GrantCut& cut) {
  test::Served<NodeSession<DoseController>> served;
  const auto node = open_node("tcp:127.0.0.1:" + std::to_string(served.address().port));
  return test::record(spec, *node, cut).proof();
}

/// Hands every grant on cut short at a random moment.
class ImpatientNode final : public Node {
 public:
  explicit ImpatientNode(std::uint64_t seed) : chance_(seed, 0, 0) {}

  Reached exchange(const Grant& grant) override {
    const Duration step{1 + chance_.word() % 30'000};
    const Reached reached =
        inner_.exchange({earlier(grant.until, reached_ + step), grant.feedback, grant.inputs});
    reached_ = reached.at;
    return reached;
  }
  std::size_t capacity() const override { return inner_.capacity(); }
  void restart(Instant at) override {
    inner_.restart(at);
    reached_ = at;
  }

 private:
  InprocNode inner_;
  RandomStream chance_;
  Instant reached_{};
};

/// Flips one bit of the first change of the mode.
class FlippingNode final : public Node {
 public:
  Reached exchange(const Grant& grant) override {
    const Reached reached = inner_.exchange(grant);
    outputs_.assign(reached.outputs.begin(), reached.outputs.end());
    for (SignalChange& output : outputs_) {
      if (output.channel != Channel::kMode || flipped_) continue;
      output.value ^= 16;
      flipped_ = true;
    }
    return {reached.at, outputs_};
  }
  std::size_t capacity() const override { return inner_.capacity(); }

 private:
  InprocNode inner_;
  std::vector<SignalChange> outputs_;
  bool flipped_{false};
};

/// What chance made of each container, whatever the controller did.
std::vector<std::pair<std::int64_t, std::int64_t>> seams_and_fills(const RecordedRun& run) {
  std::vector<std::pair<std::int64_t, std::int64_t>> found;
  for (const LedgerRow& row : run.rows) found.emplace_back(row.seam_us, row.fill_ul);
  return found;
}

}  // namespace

TEST_CASE("determinism: a scenario run twice is the same run") {
  for (const std::string& scenario : kScenarios) {
    CAPTURE(scenario);
    const PlantSpec spec = plant_of(scenario, kFeedUs);
    const RecordedRun first = run_inproc(spec);
    const RecordedRun second = run_inproc(spec);
    CHECK(first.changes.size() > 500);
    CHECK(first.proof() == second.proof());
    CHECK(first.changes == second.changes);
    CHECK(first.rows == second.rows);
  }
}

TEST_CASE("determinism: grants of 1, 7, all or random inputs make no difference") {
  for (const std::string& scenario : kScenarios) {
    CAPTURE(scenario);
    const PlantSpec spec = plant_of(scenario, kFeedUs);
    const RecordedRun usual = run_inproc(spec);
    for (const char* cut : {"1", "7", "all", "random"}) {
      CAPTURE(cut);
      const RecordedRun run = run_inproc(spec, parse_grant_cut(cut).value());
      CHECK(run.proof() == usual.proof());
      CHECK(run.changes == usual.changes);
      CHECK(run.rows == usual.rows);
    }
  }
}

TEST_CASE("determinism: a node that stops where it likes makes no difference") {
  for (const std::string& scenario : kScenarios) {
    CAPTURE(scenario);
    const PlantSpec spec = plant_of(scenario, kFeedUs);
    const RunProof usual = run_inproc(spec).proof();
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
      ImpatientNode node(seed);
      CHECK(test::record(spec, node).proof() == usual);
    }
  }
}

TEST_CASE("determinism: a node behind TCP makes no difference, whatever the grants") {
  for (const char* scenario : {"inline_ramp", "stop_restart", "whole_shift"}) {
    CAPTURE(scenario);
    const PlantSpec spec = plant_of(scenario, 30'000'000);
    const RunProof usual = run_inproc(spec).proof();
    for (const char* cut : {"1", "7", "all", "random"}) {
      CAPTURE(cut);
      CHECK(proof_over_tcp(spec, parse_grant_cut(cut).value()) == usual);
    }
  }
}

TEST_CASE("determinism: a microsecond more of flight in the recipe is another run") {
  PlantSpec spec = plant_of("rotary_steady", 30'000'000);
  const RecordedRun usual = run_inproc(spec);
  spec.recipe.set(Parameter::kFlightUs, spec.recipe.get(Parameter::kFlightUs) + 1);
  const RecordedRun other = run_inproc(spec);
  CHECK(other.proof().digest != usual.proof().digest);
  CHECK(other.of(Channel::kValve)[0].at == usual.of(Channel::kValve)[0].at - 1_us);
}

TEST_CASE("determinism: one flipped bit of one output is another digest") {
  const PlantSpec spec = plant_of("rotary_steady", 30'000'000);
  const RunProof usual = run_inproc(spec).proof();
  FlippingNode node;
  const RunProof flipped = test::record(spec, node).proof();
  CHECK(flipped.digest != usual.digest);
  CHECK(flipped.changes == usual.changes);
}

TEST_CASE("determinism: another seed is another run") {
  PlantSpec spec = plant_of("rotary_steady", 30'000'000);
  const RunProof usual = run_inproc(spec).proof();
  spec.seed += 1;
  CHECK(run_inproc(spec).proof().digest != usual.digest);
}

TEST_CASE("determinism: drops on the sensor leave every other chance as it was") {
  PlantSpec spec = plant_of("missing_containers", kFeedUs);
  spec.happens.chatter = {};
  const RecordedRun quiet = run_inproc(spec);
  spec.happens.chatter = {200'000, 4, 800_us};
  const RecordedRun wet = run_inproc(spec);
  CHECK(wet.proof().digest != quiet.proof().digest);
  CHECK(seams_and_fills(wet) == seams_and_fills(quiet));
  // The true leading edge stays as well: the drops come behind it.
  for (std::size_t i = 0; i < quiet.rows.size(); ++i) {
    CHECK(wet.rows[i].sensor_us == quiet.rows[i].sensor_us);
  }
}

TEST_CASE("determinism: missing containers leave those that are there as they were") {
  PlantSpec spec = plant_of("rotary_steady", kFeedUs);
  const auto all = run_inproc(spec);
  spec.happens.missing_share_ppm = 100'000;
  const auto some = run_inproc(spec);
  REQUIRE(some.rows.size() < all.rows.size());
  auto whole = seams_and_fills(all);
  std::sort(whole.begin(), whole.end());
  for (const auto& container : seams_and_fills(some)) {
    CHECK(std::binary_search(whole.begin(), whole.end(), container));
  }
  std::set<std::int64_t> edges;
  for (const LedgerRow& row : all.rows) edges.insert(row.sensor_us);
  for (const LedgerRow& row : some.rows) CHECK(edges.count(row.sensor_us) == 1);
}
