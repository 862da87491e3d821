#include "plant_model/line/plant.hpp"

#include <algorithm>
#include <bit>

namespace rimebench {

namespace {

/// After the last container the clock goes on this long, for the controller's last outputs.
constexpr Duration kTail = 1_s;
/// The downstream half looks back no further: the longest piece of a shot and its fall.
constexpr Duration kLookBack = 3_s;

std::size_t containers_on_line(const PlantSpec& spec) {
  const StationsSpec& at = spec.line.stations;
  const std::int64_t length = std::max({at.seam_um, at.discharge_um, at.gate_um});
  const std::int64_t touching = spec.container.body_um / 2;
  const auto most = static_cast<std::size_t>(length / touching + 2 * spec.line.filler.heads);
  return std::bit_ceil(most + 256);
}

}  // namespace

Plant::Plant(const PlantSpec& spec)
    : Bound{{spec}},
      conveyed_(containers_on_line(spec)),
      upstream_(spec, conveyed_),
      downstream_(spec, conveyed_, upstream_) {}

Instant Plant::run_upstream(std::size_t inputs_max) {
  while (!permit_changes_.empty()) {
    const SignalChange change = permit_changes_.front();
    const Instant until = upstream_.run(change.at, inputs_max);
    if (until < change.at) return until;
    if (change.value != 0) {
      upstream_.resume(change.at);
    } else if (!upstream_.finished()) {
      upstream_.halt(change.at);
    }
    permit_changes_.pop_front();
  }
  const std::int64_t reaction = spec_.line.controls.line_stop_reaction_us;
  return upstream_.run(reaction > 0 ? reached_ + Duration{reaction} : kNever, inputs_max);
}

/// A safety chain that opens closes the valve by the interlock, and that comes back as feedback.
Instant Plant::chain_horizon(Instant until) const {
  if (!spec_.line.interlock) return kNever;
  for (const SignalChange& input : upstream_.inputs().before(until)) {
    const bool opens = input.channel == Channel::kSafetyChain && input.value == 0;
    if (opens) return downstream_.chain_horizon(input.at);
  }
  return kNever;
}

/// The line follows its permit a reaction time later; the first time it is given the line does not
/// stand for want of it.
void Plant::on_line_permit(const SignalChange& output) {
  const std::int64_t reaction = spec_.line.controls.line_stop_reaction_us;
  const bool given = output.value != 0;
  const bool follows = given ? permit_was_lost_ && !line_permit_ : line_permit_;
  line_permit_ = given;
  if (!follows || reaction == 0 || permit_changes_.full()) return;
  permit_was_lost_ = true;
  permit_changes_.push_back({output.at + Duration{reaction}, output.channel, output.value});
  if (given) end_ = kNever;
}

Ahead Plant::next(std::size_t inputs_max) {
  Instant until = run_upstream(inputs_max);
  if (upstream_.finished() && end_ == kNever) {
    end_ = later(upstream_.last_event(), reached_) + kTail;
  }
  until = std::min({until, end_, downstream_.horizon(reached_), chain_horizon(until)});
  return {until, downstream_.lookahead(), upstream_.inputs().before(until)};
}

/// The interlock hears the safety chain as the controller does: at each change the downstream half
/// has come that far.
void Plant::hear_chain(Instant until, RunSink& sink) {
  while (!chain_.empty() && chain_.front().at <= until) {
    const SignalChange change = chain_.front();
    chain_.erase(chain_.begin());
    downstream_.run(change.at, sink);
    downstream_.hear_chain(change.at, change.value != 0);
  }
}

void Plant::settle(Instant reached, std::span<const SignalChange> outputs, RunSink& sink) {
  DEMAND(reached > reached_);
  if (spec_.line.interlock) {
    for (const SignalChange& input : upstream_.inputs().before(reached)) {
      if (input.channel == Channel::kSafetyChain) chain_.push_back(input);
    }
  }
  for (const SignalChange& output : outputs) {
    DEMAND(output.at >= reached_ && output.at < reached);
    hear_chain(output.at, sink);
    downstream_.run(output.at, sink);
    downstream_.on_output(output);
    if (output.channel == Channel::kLinePermit) on_line_permit(output);
  }
  hear_chain(reached, sink);
  downstream_.run(reached, sink);
  record(reached, outputs, sink);
  upstream_.inputs().take(reached);
  upstream_.drive().forget_before(reached - kLookBack);
  reached_ = reached;
  if (finished()) downstream_.finish(sink);
}

/// Merges the three streams, each already in canonical order.
void Plant::record(Instant reached, std::span<const SignalChange> outputs, RunSink& sink) {
  const auto inputs = upstream_.inputs().before(reached);
  auto input = inputs.begin();
  auto output = outputs.begin();
  const auto pass_on_before = [&](const SignalChange* limit) {
    while (input != inputs.end() || output != outputs.end()) {
      const bool input_first =
          output == outputs.end() || (input != inputs.end() && canonical_before(*input, *output));
      auto& next = input_first ? input : output;
      if (limit != nullptr && canonical_before(*limit, *next)) return;
      sink.on_change(*next++);
    }
  };
  auto& witnesses = downstream_.witnesses();
  for (const SignalChange& witness : witnesses) {
    pass_on_before(&witness);
    sink.on_change(witness);
  }
  pass_on_before(nullptr);
  witnesses.clear();
}

}  // namespace rimebench
