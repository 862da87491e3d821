#include "harness/session/lockstep.hpp"

#include <algorithm>
#include <charconv>

#include "harness/session/hung_node.hpp"
#include "harness/session/output_rules.hpp"
#include "harness/session/restarted_node.hpp"
#include "plant_model/kernel/random.hpp"
#include "plant_model/line/rewinding_plant.hpp"

namespace rimebench {

namespace {

/// Random cuts draw from a seed of their own: they belong to the bench, not to the line.
constexpr std::uint64_t kCutSeed = 1;
constexpr std::uint32_t kCutShortestUs = 1;
constexpr std::uint32_t kCutLongestUs = 200'000;

/// How far to grant where an output may end a grant early: what lies behind that travels for
/// nothing. Twice as far as the node came of late, so that a regular line is granted from one
/// output to the next.
class Stride {
 public:
  Instant end(Instant from, const Ahead& ahead) const {
    return ahead.feedback == kNoFeedback ? ahead.until : std::min(ahead.until, from + length_);
  }
  void learn(Instant from, Instant until, Instant reached) {
    const Duration came = reached - from;
    const bool whole = reached == until;
    if (whole && came < length_) return;
    const Duration less{length_.raw - length_.raw / 4};
    length_ = std::clamp(whole ? came + came : std::max(came + came, less), 1_ms, 3'600_s);
  }

 private:
  Duration length_{1_s};
};

Instant random_cut(std::uint64_t exchange, Instant from, Instant until) {
  const std::uint32_t word = draw(kCutSeed, 0, exchange, 0)[0];
  const Duration step{kCutShortestUs + word % kCutLongestUs};
  return std::min(until, from + step);
}

}  // namespace

std::optional<GrantCut> parse_grant_cut(const std::string& text) {
  if (text == "all") return GrantCut{GrantCut::kInputsAll, false};
  if (text == "random") return GrantCut{GrantCut::kInputsUsual, true};
  std::size_t inputs = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), inputs);
  if (error != std::errc{} || end != text.data() + text.size() || inputs == 0) return std::nullopt;
  return GrantCut{std::min(inputs, GrantCut::kInputsAll), false};
}

void run_lockstep(const PlantSpec& spec, Node& given, const GrantCut& cut, RunSink& sink,
                  LockstepResult& result) {
  std::optional<HungNode> hung;
  std::optional<RestartedNode> restarted;
  if (spec.happens.core_hang) hung.emplace(given, *spec.happens.core_hang);
  if (spec.happens.core_restart) restarted.emplace(given, *spec.happens.core_restart);
  Node& node = hung ? static_cast<Node&>(*hung) : restarted ? *restarted : given;
  RewindingPlant plant(spec);
  OutputRules rules;
  Stride stride;
  const std::size_t inputs_max = std::min(cut.inputs_max, node.capacity());
  while (!plant.finished()) {
    const Ahead ahead = plant.next(inputs_max);
    const Instant from = plant.reached();
    Instant until = stride.end(from, ahead);
    if (cut.random) until = random_cut(result.exchanges, from, until);
    std::span<const SignalChange> inputs = ahead.inputs;
    while (!inputs.empty() && inputs.back().at >= until) inputs = inputs.first(inputs.size() - 1);
    const Reached reached = node.exchange({until, ahead.feedback, inputs});
    ++result.exchanges;
    if (reached.at <= from || reached.at > until) {
      throw LinkError("the node broke the contract: it reached an instant outside its grant", from);
    }
    rules.check(reached.outputs, from, reached.at);
    plant.settle(reached.at, reached.outputs, sink);
    stride.learn(from, until, reached.at);
    result.end = reached.at;
  }
}

}  // namespace rimebench
