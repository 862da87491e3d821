#include "harness/session/faulty_link.hpp"

#include <doctest/doctest.h>

#include <string>

#include "harness/cli/loopback_stream.hpp"
#include "harness/cli/node_option.hpp"
#include "tests/link/served.hpp"
#include "tests/support/golden_runs.hpp"

using namespace rimebench;

namespace {

constexpr Instant kFails{10'000'007};

PlantSpec line_with(LinkFaultKind kind, Duration late = {}) {
  PlantSpec spec = test::plant_of("rotary_steady", 20'000'000);
  spec.happens.link_fault = LinkFault{kind, kFails, late};
  return spec;
}

/// The run as far as it came, and why it came no further.
struct Ended {
  test::RecordedRun run;
  std::string why;
  Instant last_good{};
};

Ended run(const PlantSpec& spec, const std::string& option, const GrantCut& cut = {}) {
  Ended ended;
  try {
    const auto node = open_node(option, spec.happens);
    run_lockstep(spec, *node, cut, ended.run, ended.run.result);
  } catch (const LinkError& error) {
    ended.why = error.what();
    ended.last_good = error.last_good();
  }
  return ended;
}

Ended run_over_tcp(const PlantSpec& spec) {
  test::Served<NodeSession<DoseController>> served;
  return run(spec, "tcp:127.0.0.1:" + std::to_string(served.address().port));
}

}  // namespace

TEST_CASE("faulty link: each fault ends the run in its own words, at its moment, in every home") {
  using enum LinkFaultKind;
  struct Fault {
    LinkFaultKind kind;
    Duration late;
    std::string why;
  };
  for (const Fault& fault : {
           Fault{kGrantLost, {}, "no answer for 10000 ms"},
           Fault{kGrantDamaged, {}, "it refused a frame: the frame arrived damaged"},
           Fault{kAnswerLost, {}, "no answer for 10000 ms"},
           Fault{kAnswerDamaged, {}, "a frame arrived damaged"},
           Fault{kAnswerRepeated, {}, "it answered grant "},
           Fault{kAnswersLate, 10'001_ms, "no answer for 10000 ms"},
           Fault{kCut, {}, "the connection was cut"},
       }) {
    INFO(fault.why);
    const PlantSpec spec = line_with(fault.kind, fault.late);
    const Ended here = run(spec, "inproc");
    CHECK(here.why.find("node at a link that fails (happens.link_fault): " + fault.why) == 0);
    CHECK(here.why.find("last good simulated time 10000007 us") != std::string::npos);
    CHECK(here.last_good == kFails);
    CHECK(here.run.changes.size() > 500);
    CHECK(here.run.changes.back().at < kFails);
    for (const Ended& there : {run_over_tcp(spec), run(spec, "inproc", {1, false}),
                               run(spec, "inproc", {GrantCut::kInputsAll, true})}) {
      CHECK(there.last_good == kFails);
      CHECK(there.run.proof() == here.run.proof());
    }
  }
}

TEST_CASE("faulty link: what is known at the failure is what an unbroken run shows until then") {
  const Ended broken = run(line_with(LinkFaultKind::kCut), "inproc");
  const auto whole = test::run_inproc(test::plant_of("rotary_steady", 20'000'000));
  std::vector<SignalChange> until;
  for (const SignalChange& change : whole.changes) {
    if (change.at < kFails) until.push_back(change);
  }
  CHECK(broken.run.changes == until);
}

TEST_CASE("faulty link: answers that are late, but within the bench's patience, change nothing") {
  const PlantSpec spec = line_with(LinkFaultKind::kAnswersLate, 10_s);
  const Ended late = run(spec, "inproc");
  CHECK(late.why.empty());
  CHECK(late.run.proof() == test::run_inproc(spec).proof());
}

TEST_CASE("faulty link: a damaged frame is damaged whatever its bytes, in however small pieces") {
  // Gives one byte a read, as a serial line may.
  class Drip final : public ByteStream {
   public:
    std::size_t read(std::span<std::uint8_t> buffer, Deadline deadline) override {
      return inner_.read(buffer.first(1), deadline);
    }
    void write(std::span<const std::uint8_t> bytes, Deadline deadline) override {
      inner_.write(bytes, deadline);
    }
    const std::string& name() const override { return inner_.name(); }

   private:
    LoopbackStream<DoseController> inner_;
  };
  for (const LinkFaultKind kind : {LinkFaultKind::kAnswerDamaged, LinkFaultKind::kGrantDamaged}) {
    for (Instant at{1}; at < Instant{400}; at = at + 1_us) {
      FaultyLink node(std::make_unique<Drip>(), LinkFault{kind, at});
      CHECK(node.exchange({Instant{400}, kNoFeedback, {}}).at == at);
      CHECK_THROWS_AS(node.exchange({Instant{400}, kNoFeedback, {}}), LinkError);
    }
  }
}

TEST_CASE("faulty link: controllers that are there to fail stand behind the same frames") {
  PlantSpec spec = line_with(LinkFaultKind::kAnswersLate, 1_s);
  for (const char* const option :
       {"stand_in:always_reject", "stand_in:never_dose", "stand_in:fixed_delay"}) {
    INFO(option);
    spec.happens.link_fault.reset();
    const Ended direct = run(spec, option);
    spec.happens.link_fault = LinkFault{LinkFaultKind::kAnswersLate, kFails, 1_s};
    const Ended framed = run(spec, option);
    CHECK(framed.why.empty());
    CHECK(framed.run.proof() == direct.run.proof());
  }
}
