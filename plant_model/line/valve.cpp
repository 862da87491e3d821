#include "plant_model/line/valve.hpp"

#include <algorithm>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/chance.hpp"
#include "plant_model/line/defects.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

constexpr double kKgPerMg = 1e-6;

Duration varied(std::int64_t delay_us, double deviations, std::int64_t sd_us) {
  if (kDefectNoValveDelay) return {0};
  const double jitter = deviations * static_cast<double>(sd_us);
  const auto whole = static_cast<std::int64_t>(jitter < 0.0 ? jitter - 0.5 : jitter + 0.5);
  return {std::max<std::int64_t>(0, delay_us + whole)};
}

/// How much of a trouble that grows is there by now, 0 to 1.
double grown(const ValveTrouble& trouble, Instant at) {
  const Duration since = at - trouble.at;
  if (since >= trouble.grows) return 1.0;
  return static_cast<double>(since.raw) / static_cast<double>(trouble.grows.raw);
}

Duration part_of(Duration whole, double share) {
  return {static_cast<std::int64_t>(static_cast<double>(whole.raw) * share)};
}

}  // namespace

Valve::Valve(const PlantSpec& spec) : Bound{{spec}} {}

const ValveTrouble* Valve::trouble(ValveTroubleKind kind, Instant at) const {
  for (const ValveTrouble& one : spec_.happens.valve) {
    if (one.kind == kind && one.at <= at && at < one.at + one.lasts) return &one;
  }
  return nullptr;
}

bool Valve::troubled(Instant at) const {
  const auto holds = [at](const ValveTrouble& one) {
    return one.at <= at && at < one.at + one.lasts;
  };
  return std::ranges::any_of(spec_.happens.valve, holds);
}

bool Valve::fails_open(Instant at) const {
  return trouble(ValveTroubleKind::kFailsOpen, at) != nullptr;
}

bool Valve::command(Instant at, bool open, InputQueue& inputs) {
  if (open == commanded_) return true;
  commanded_ = open;
  if (open) ++shots_;
  if (!open) cut_ = false;
  const bool blocked = cut_ || (spec_.line.interlock && !chain_closed_);
  const bool energised = open && !blocked;
  if (energised == coil_) return true;
  coil_ = energised;
  if (spec_.line.interlock) coil_changed_ = at;
  const bool relay = spec_.line.interlock && spec_.line.interlock->relay_us > 0;
  relay_cuts_ = relay && coil_ ? at + Duration{spec_.line.interlock->relay_us} : kNever;
  const ValveSpec& valve = spec_.line.valve;
  const RandomBlock words = draw(spec_.seed, static_cast<std::uint32_t>(Source::kValve),
                                 static_cast<std::uint64_t>(shots_), 0);
  return follow_coil(at,
                     open ? varied(valve.open_delay_us, deviation(words[0]), valve.jitter_sd_us)
                          : varied(valve.close_delay_us, deviation(words[1]), valve.jitter_sd_us),
                     inputs);
}

void Valve::hear_chain(Instant at, bool closed) {
  chain_closed_ = closed;
  chain_cuts_ = closed ? kNever : at + Duration{spec_.line.interlock->chain_us};
}

Instant Valve::next_turn() const {
  return std::min(
      {coil_changed_, chain_cuts_, relay_cuts_, next_trouble_edge(spec_.happens.valve, turned_)});
}

std::optional<bool> Valve::turn(Instant at, InputQueue& inputs) {
  if (at == next_trouble_edge(spec_.happens.valve, turned_)) turn_trouble(at, inputs);
  if (at == chain_cuts_ || at == relay_cuts_) cut_coil(at, inputs);
  if (at == chain_cuts_) chain_cuts_ = kNever;
  coil_changed_ = kNever;
  if (coil_ == coil_shown_) return std::nullopt;
  coil_shown_ = coil_;
  return coil_;
}

void Valve::cut_coil(Instant at, InputQueue& inputs) {
  relay_cuts_ = kNever;
  cut_ = commanded_;
  if (!coil_) return;
  coil_ = false;
  follow_coil(at, Duration{spec_.line.interlock->close_us}, inputs);
}

/// The valve goes where the coil wants it, in its own time; false if it sticks where it is.
bool Valve::follow_coil(Instant at, Duration delay, InputQueue& inputs) {
  if (fails_open(at)) return true;
  if (const ValveTrouble* const slow = trouble(ValveTroubleKind::kSlow, at)) {
    delay += part_of(coil_ ? slow->opens_later : slow->closes_later, grown(*slow, at));
  }
  const auto sticking = coil_ ? ValveTroubleKind::kSticksShut : ValveTroubleKind::kSticksOpen;
  if (const ValveTrouble* const stuck = trouble(sticking, at); stuck != nullptr && sticks(*stuck)) {
    if (stuck->late == 0_us) return false;
    delay += stuck->late;
  }
  if (scheduled_open_ == coil_) return true;
  const Instant moves = later(at + delay, last_move_ + 1_us);
  if (!coil_ && fails_open(moves)) return true;
  schedule(moves, coil_, shots_, inputs);
  return true;
}

bool Valve::sticks(const ValveTrouble& trouble) const {
  const auto source =
      trouble.kind == ValveTroubleKind::kSticksShut ? Source::kSticksShut : Source::kSticksOpen;
  RandomStream chance(spec_.seed, static_cast<std::uint32_t>(source),
                      static_cast<std::uint64_t>(shots_));
  return chance.happens(static_cast<std::uint32_t>(trouble.share_ppm));
}

void Valve::schedule(Instant at, bool open, std::int64_t shot, InputQueue& inputs) {
  last_move_ = at;
  scheduled_open_ = open;
  moves_.push_back({at, open, shot});
  const Duration feedback{spec_.line.valve.feedback_delay_us};
  if (feedback > 0_us) inputs.put({at + feedback, Channel::kValveFeedback, open ? 1 : 0});
}

ValveMove Valve::take_move() {
  const ValveMove move = moves_.pop_front();
  is_open_ = move.open;
  return move;
}

/// A valve begins to fail open, or falls back to where its coil wants it.
void Valve::turn_trouble(Instant at, InputQueue& inputs) {
  turned_ = at;
  for (const ValveTrouble& one : spec_.happens.valve) {
    if (one.kind != ValveTroubleKind::kFailsOpen) continue;
    const Instant moves = later(at, last_move_ + 1_us);
    if (one.at == at && !scheduled_open_) schedule(moves, true, kNoShot, inputs);
    if (one.at + one.lasts == at && scheduled_open_ != coil_) {
      schedule(moves, coil_, coil_ ? shots_ : kNoShot, inputs);
    }
  }
}

double Valve::flow_factor(Instant at) const {
  double factor = 1.0;
  if (const ValveTrouble* const ice = trouble(ValveTroubleKind::kIced, at)) {
    factor *= ice->flow_percent / 100.0;
  }
  if (const ValveTrouble* const drift = trouble(ValveTroubleKind::kDrifts, at)) {
    factor *= 1.0 + drift->flow_percent / 100.0 * grown(*drift, at);
  }
  return factor;
}

double Valve::leak_kg_per_s(Instant at) const {
  const ValveTrouble* const leak = trouble(ValveTroubleKind::kLeaks, at);
  return leak == nullptr ? 0.0 : leak->leak_mg_per_s * kKgPerMg;
}

std::int64_t Valve::deflection_um(Instant at) const {
  const ValveTrouble* const ice = trouble(ValveTroubleKind::kDeflected, at);
  if (ice == nullptr) return 0;
  const double left =
      static_cast<double>((ice->at + ice->lasts - at).raw) / static_cast<double>(ice->lasts.raw);
  return static_cast<std::int64_t>(static_cast<double>(ice->lateral_um) * left);
}

Duration Valve::lookahead() const {
  const ValveSpec& valve = spec_.line.valve;
  if (valve.feedback_delay_us == 0) return {kNever.us};
  const Duration opens = varied(valve.open_delay_us, -kDeviationMax, valve.jitter_sd_us);
  const Duration closes = varied(valve.close_delay_us, -kDeviationMax, valve.jitter_sd_us);
  Duration least = std::min(opens, closes);
  const bool relay = spec_.line.interlock && spec_.line.interlock->relay_us > 0;
  if (relay) least = std::min(least, Duration{spec_.line.interlock->relay_us});
  return least + Duration{valve.feedback_delay_us};
}

Instant Valve::horizon() const {
  const std::int64_t feedback = spec_.line.valve.feedback_delay_us;
  if (feedback == 0) return kNever;
  const Instant turn =
      std::min({chain_cuts_, relay_cuts_, next_trouble_edge(spec_.happens.valve, turned_)});
  return turn == kNever ? kNever : turn + Duration{feedback};
}

Instant Valve::chain_horizon(Instant at) const {
  const std::int64_t feedback = spec_.line.valve.feedback_delay_us;
  if (feedback == 0 || !spec_.line.interlock) return kNever;
  return at + Duration{spec_.line.interlock->chain_us + feedback};
}

}  // namespace rimebench
