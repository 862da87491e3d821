#include "plant_model/line/gate.hpp"

#include <algorithm>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

constexpr Duration kConfirmWidth = 5_ms;
/// From the air switch or the bin's eye to the signal.
constexpr Duration kWireDelay = 20_ms;

}  // namespace

Gate::Gate(const PlantSpec& spec) : Bound{{spec}}, present_(spec.line.stations.gate_um > 0) {}

const GateTrouble* Gate::trouble(GateTroubleKind kind, Instant at) const {
  for (const GateTrouble& one : spec_.happens.gate) {
    if (one.kind == kind && one.at <= at && at < one.at + one.lasts) return &one;
  }
  return nullptr;
}

bool Gate::wired_back() const {
  const GateSpec& gate = spec_.line.gate;
  return present_ && (gate.confirm_delay_us > 0 || gate.bin_holds > 0);
}

Duration Gate::lookahead() const {
  const GateSpec& gate = spec_.line.gate;
  Duration least{kNever.us};
  if (present_ && gate.confirm_delay_us > 0) least = Duration{gate.confirm_delay_us};
  if (present_ && gate.bin_holds > 0) least = std::min(least, kWireDelay);
  return least;
}

/// While the gate is out or about to be, a removal may come at any moment.
Instant Gate::horizon(Instant reached) const {
  const Instant edge = next_trouble_edge(spec_.happens.gate, turned_);
  const Instant wires = edge == kNever ? kNever : edge + kWireDelay;
  const bool may_be_out = commanded_ || out_ || !moves_.empty();
  return wired_back() && may_be_out ? earlier(wires, reached + lookahead()) : wires;
}

void Gate::command(Instant at, bool out) {
  if (out == commanded_) return;
  commanded_ = out;
  Duration delay{spec_.line.gate.delay_us};
  if (const GateTrouble* const slow = trouble(GateTroubleKind::kSlow, at)) {
    delay += out ? slow->out_later : slow->back_later;
  }
  last_move_ = later(at + delay, last_move_);
  moves_.push_back({last_move_, out});
}

Instant Gate::next() const {
  return earlier(moves_.empty() ? kNever : moves_.front().at,
                 next_trouble_edge(spec_.happens.gate, turned_));
}

/// What a trouble that begins or ends now shows on the wires.
void Gate::tell(const GateTrouble& trouble, Instant at, bool ends, InputQueue& inputs) {
  const Instant told = at + kWireDelay;
  if (trouble.kind == GateTroubleKind::kLowAir) inputs.put({told, Channel::kGateAir, ends ? 1 : 0});
  if (trouble.kind != GateTroubleKind::kBinEmptied || ends) return;
  in_bin_ = 0;
  if (bin_full_shown_) inputs.put({told, Channel::kRejectBinFull, 0});
  bin_full_shown_ = false;
}

/// Troubles begin and end; true if the gate is free of one that held it.
bool Gate::turn(Instant at, InputQueue& inputs) {
  if (at != next_trouble_edge(spec_.happens.gate, turned_)) return false;
  turned_ = at;
  bool freed = false;
  for (const GateTrouble& one : spec_.happens.gate) {
    const bool ends = one.at + one.lasts == at;
    if (one.at != at && !ends) continue;
    tell(one, at, ends, inputs);
    const bool held =
        one.kind == GateTroubleKind::kStuckIn || one.kind == GateTroubleKind::kStuckOut;
    freed = freed || (held && ends);
  }
  return freed;
}

void Gate::step(Instant at, InputQueue& inputs) {
  bool wanted = out_;
  while (!moves_.empty() && moves_.front().at == at) wanted = moves_.pop_front().out;
  if (turn(at, inputs)) wanted = commanded_;
  const auto held = wanted ? GateTroubleKind::kStuckIn : GateTroubleKind::kStuckOut;
  if (trouble(held, at) == nullptr) out_ = wanted;
}

bool Gate::strikes(GateTroubleKind kind, std::uint32_t source, std::int64_t item,
                   Instant at) const {
  const GateTrouble* const active = trouble(kind, at);
  if (active == nullptr) return false;
  RandomStream chance(spec_.seed, source, static_cast<std::uint64_t>(item));
  return chance.happens(static_cast<std::uint32_t>(active->share_ppm));
}

bool Gate::troubled(Instant at) const {
  const auto holds = [at](const GateTrouble& one) {
    return one.kind != GateTroubleKind::kBinEmptied && one.at <= at && at < one.at + one.lasts;
  };
  return !room_in_bin() || std::ranges::any_of(spec_.happens.gate, holds);
}

bool Gate::room_in_bin() const {
  const GateSpec& gate = spec_.line.gate;
  return gate.bin_holds == 0 || in_bin_ < gate.bin_holds + gate.bin_spare;
}

bool Gate::pass(Instant at, std::int64_t container, InputQueue& inputs) {
  const auto fails = static_cast<std::uint32_t>(Source::kGateFails);
  const auto blind = static_cast<std::uint32_t>(Source::kConfirmEye);
  const bool removed = out_ && room_in_bin() &&
                       !strikes(GateTroubleKind::kLowAir, fails, container, at) &&
                       !strikes(GateTroubleKind::kMisses, fails, container, at);
  if (!removed) return false;
  count_removed(at, inputs);
  const Duration confirm{spec_.line.gate.confirm_delay_us};
  if (confirm > 0_us && !strikes(GateTroubleKind::kEyeBlind, blind, container, at)) {
    inputs.put({at + confirm, Channel::kRejectConfirmed, 1});
    inputs.put({at + confirm + kConfirmWidth, Channel::kRejectConfirmed, 0});
  }
  return true;
}

void Gate::count_removed(Instant at, InputQueue& inputs) {
  ++in_bin_;
  const std::int64_t holds = spec_.line.gate.bin_holds;
  if (holds == 0 || in_bin_ < holds || bin_full_shown_) return;
  bin_full_shown_ = true;
  inputs.put({at + kWireDelay, Channel::kRejectBinFull, 1});
}

}  // namespace rimebench
