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

Instant Plant::run_upstream(Instant until, std::size_t inputs_max) {
  while (!permit_changes_.empty()) {
    const SignalChange change = permit_changes_.front();
    const Instant came = upstream_.run(earlier(change.at, until), inputs_max);
    if (came < change.at) return came;
    if (change.value != 0) {
      upstream_.resume(change.at);
    } else if (!upstream_.finished()) {
      upstream_.halt(change.at);
    }
    permit_changes_.pop_front();
  }
  return upstream_.run(until, inputs_max);
}

void Plant::run_ahead(Instant until, std::size_t inputs_max) {
  ahead_ = later(ahead_, run_upstream(until, inputs_max));
  if (upstream_.finished() && end_ == kNever) {
    end_ = later(upstream_.last_event(), reached_) + kTail;
  }
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
bool Plant::belt_follows(bool before, bool given) const {
  return given ? permit_was_lost_ && !before : before;
}

Instant Plant::first_followed(std::span<const SignalChange> outputs) const {
  bool permit = line_permit_;
  for (const SignalChange& output : outputs) {
    if (output.channel != Channel::kLinePermit) continue;
    if (belt_follows(permit, output.value != 0)) return output.at + reaction();
    permit = output.value != 0;
  }
  return kNever;
}

void Plant::on_line_permit(const SignalChange& output) {
  const bool given = output.value != 0;
  const bool follows = belt_follows(line_permit_, given);
  line_permit_ = given;
  if (!follows || reaction().raw == 0 || permit_changes_.full()) return;
  permit_was_lost_ = true;
  permit_changes_.push_back({output.at + reaction(), output.channel, output.value});
  if (given) end_ = kNever;
}

Ahead Plant::granted() const {
  Instant until = std::min({ahead_, end_, downstream_.horizon(reached_)});
  until = earlier(until, chain_horizon(until));
  return {until, downstream_.feedback(), upstream_.inputs().before(until)};
}

Ahead Plant::next(std::size_t inputs_max) {
  run_ahead(reaction().raw > 0 ? reached_ + reaction() : kNever, inputs_max);
  return granted();
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
