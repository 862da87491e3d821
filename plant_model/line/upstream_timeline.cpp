/// What the scenario lets happen at a moment.

#include "plant_model/line/upstream.hpp"

namespace rimebench {

namespace {

/// How long a button is held.
constexpr Duration kPress = 10_ms;

Channel channel_of(Button button) {
  switch (button) {
    case Button::kReset:
      return Channel::kOperatorReset;
    case Button::kStart:
      return Channel::kOperatorStart;
    case Button::kStop:
      return Channel::kOperatorStop;
    case Button::kTestShots:
      return Channel::kOperatorTestShots;
    case Button::kLoadRecipe:
      return Channel::kRecipeCommit;
  }
  DEMAND(false);
  return Channel::kOperatorStop;
}

}  // namespace

void Upstream::run_timeline(Instant at) {
  const TimelineEvent& event = (*timeline_)[next_event_++];
  switch (event.what) {
    case TimelineEvent::What::kOperator:
      press(event);
      return set_lane(kTimeline, at);
    case TimelineEvent::What::kMark:
      mark(event);
      return set_lane(kTimeline, at);
    case TimelineEvent::What::kSpell:
      mark(event);
      run_spell(event);
      return set_all(at);
  }
}

void Upstream::press(const TimelineEvent& event) {
  if (event.button == Button::kLoadRecipe) return load_second_recipe(event.at);
  const bool shots = event.button == Button::kTestShots;
  inputs_.put({event.at, channel_of(event.button), shots ? event.shots : 1});
  inputs_.put({event.at + kPress, channel_of(event.button), 0});
}

/// What is staged already stays; the commit falls first, so that the same one may come again.
void Upstream::load_second_recipe(Instant at) {
  const RecipeValues& second = *spec_.happens.second_recipe;
  for (int index = 0; index < kParameterSlots; ++index) {
    const RecipeValues& staged = second_staged_ ? second : spec_.recipe;
    if (second.at_slot(index) == staged.at_slot(index)) continue;
    inputs_.put({at, recipe_channel(index), second.at_slot(index)});
  }
  second_staged_ = true;
  inputs_.put({at, Channel::kRecipeCommit, 0});
  inputs_.put({at + 1_us, Channel::kRecipeCommit, second.commit_value()});
}

void Upstream::run_spell(const TimelineEvent& event) {
  const bool begins = event.begins;
  switch (event.kind) {
    case SpellKind::kSensorStuckHigh:
    case SpellKind::kSensorStuckLow:
      return sensor_.settle(event.at, inputs_);
    case SpellKind::kSlip:
      return pulses_.slip(begins ? event.amount : 0.0);
    case SpellKind::kSeamerSlow:
      return queue_.set_slowness(begins ? event.amount / 100.0 : 1.0);
    case SpellKind::kDownstreamFull:
      no_room_ = begins;
      [[fallthrough]];
    case SpellKind::kSeamerStop:
      seamer_held_ += begins ? 1 : -1;
      if (begins) queue_.hold(event.to);
      return follow_drive(event.at);
    case SpellKind::kPermitFlicker:
      permit_flickers_ = begins;
      return follow_drive(event.at);
    case SpellKind::kEmergencyStop:
    case SpellKind::kSafetyOpen:
      chain_open_ += begins ? 1 : -1;
      return show(Channel::kSafetyChain, event.at, chain_open_ == 0);
    case SpellKind::kLinkFlicker:
      return show(Channel::kLinkAlive, event.at, !begins);
    case SpellKind::kFeedPause:
      filler_.pause(begins);
      return follow_drive(event.at);
    case SpellKind::kCreep:
    case SpellKind::kSpeedStep:
    case SpellKind::kHunting:
    case SpellKind::kJog:
    case SpellKind::kCount:
      return;
  }
}

/// What begins befalls all that is between the sensor and the last station it matters to, and all
/// that comes to the sensor until it ends.
void Upstream::mark(const TimelineEvent& event) {
  const std::int64_t bit = befell_bit(event.befell);
  active_befell_ = event.begins ? active_befell_ | bit : active_befell_ & ~bit;
  if (!event.begins) return;
  const bool sensor = event.befell == Befell::kSensorStuck;
  const bool to_gate = event.befell == Befell::kSlip || event.befell == Befell::kReverse ||
                       event.befell == Befell::kControllerDown;
  const std::int64_t first = sensor    ? next_of(kSensorOff)
                             : to_gate ? next_to_gate()
                                       : next_to_seam();
  mark(event.befell, first, next_of(kSensorOn));
}

void Upstream::mark(Befell befell, std::int64_t first, std::int64_t last) {
  for (std::int64_t number = first; number < last; ++number) {
    if (conveyed_.has(number)) conveyed_[number].row.befell |= befell_bit(befell);
  }
}

bool Upstream::wired(Channel channel) const {
  const ControlsSpec& controls = spec_.line.controls;
  if (channel == Channel::kFillerRunning) return controls.filler_signal;
  if (channel == Channel::kSeamerRunning) return controls.seamer_signal;
  if (channel == Channel::kDownstreamFull) return controls.downstream_signal;
  return false;
}

/// The levels that tell what the line's machines do.
void Upstream::follow_drive(Instant at) {
  const bool permit = drive_.permit();
  const bool feeds = at < Instant{spec_.feed.raw};
  show(Channel::kRunPermit, at, permit && !permit_flickers_);
  if (wired(Channel::kFillerRunning))
    show(Channel::kFillerRunning, at, permit && feeds && !filler_.pauses());
  if (wired(Channel::kSeamerRunning)) {
    show(Channel::kSeamerRunning, at, seamer_held_ == 0 && (queued() || permit));
  }
  if (wired(Channel::kDownstreamFull)) show(Channel::kDownstreamFull, at, no_room_);
}

}  // namespace rimebench
