#include "tests/properties/wire_case.hpp"

#include <array>
#include <ostream>

namespace rimebench::properties {
namespace {

std::ostream& operator<<(std::ostream& out, const Flick& flick) {
  return out << '+' << flick.gap_us << " us wire " << number(flick.wire) << " (" << flick.value
             << ")";
}

void print(std::ostream& out, const RecipeValues& recipe) {
  for (int i = 0; i < kParameterSlots; ++i) out << recipe.at_slot(i) << ' ';
}

}  // namespace

std::ostream& operator<<(std::ostream& out, const WireCase& wires) {
  print(out << "recipe ", wires.recipe);
  print(out << "\nthen (spoilt " << wires.spoilt << ") ", wires.second);
  out << "\nfrom " << wires.begin_us << " us, feedback " << wires.feedback_us << " us\n";
  for (const Flick& flick : wires.flicks) out << flick << '\n';
  return out;
}

namespace {

constexpr std::int64_t kCentury = 3'155'760'000'000'000;

bool is_sample(Channel wire) { return number(wire) >= number(Channel::kOperatorTestShots); }

Flick any_flick() {
  constexpr std::array kRare = {
      Channel::kSafetyChain,    Channel::kSupplyReady,       Channel::kLinkAlive,
      Channel::kOperatorStop,   Channel::kRunPermit,         Channel::kRoomOxygen,
      Channel::kGateAir,        Channel::kBodyTemperature,   Channel::kSupplyLevel,
      Channel::kSupplyPressure, Channel::kOperatorTestShots, Channel::kOperatorTestShots};
  constexpr std::array kOften = {Channel::kContainerSensor, Channel::kContainerSensor,
                                 Channel::kLinePulse,       Channel::kLinePulse,
                                 Channel::kLinePulse,       Channel::kLinePulse,
                                 Channel::kGroupStart,      Channel::kDischargeSensor,
                                 Channel::kOperatorReset,   Channel::kOperatorStart};
  const std::int64_t gap_us = *between(0, 9) == 0 ? *between(0, 3) : *between(1, 6'000);
  const bool rare = *between(0, 39) == 0;
  const auto index =
      static_cast<std::size_t>(*between(0, rare ? kRare.size() - 1 : kOften.size() - 1));
  const Channel wire = rare ? kRare[index] : kOften[index];
  const std::int64_t most = wire == Channel::kOperatorTestShots ? 3 : 300'000;
  return {gap_us, wire, static_cast<std::int32_t>(*between(-1, most))};
}

}  // namespace

WireCase any_case(bool any) {
  const auto flicks = rc::gen::resize(
      400, rc::gen::container<std::vector<Flick>>(rc::gen::exec([] { return any_flick(); })));
  return {any ? any_recipe() : running_recipe(),
          any ? any_recipe() : running_recipe(),
          *between(0, 2),
          *flicks,
          *between(0, 3) == 0 ? kCentury : 0,
          *between(-1, 3) * 4'000};
}

Changes inputs_of(const WireCase& wires) {
  Changes changes;
  std::array<std::int32_t, 32> level{};
  const auto set = [&](std::int64_t at_us, Channel wire, std::int32_t value) {
    changes.push_back({Instant{at_us}, wire, value});
    level[number(wire)] = value;
  };
  for (const Channel wire : {Channel::kSafetyChain, Channel::kSupplyReady, Channel::kLinkAlive}) {
    set(1'000, wire, 1);
  }
  stage(changes, Instant{1'000}, RecipeValues{}, wires.recipe);
  set(1'000, Channel::kRoomOxygen, 209'000);
  set(2'000, Channel::kOperatorReset, 1);
  set(3'000, Channel::kRunPermit, 1);
  set(3'000, Channel::kOperatorStart, 1);
  std::int64_t at_us = 10'000;
  for (std::size_t i = 0; i < wires.flicks.size(); ++i) {
    at_us += wires.flicks[i].gap_us;
    const Channel wire = wires.flicks[i].wire;
    set(at_us, wire, is_sample(wire) ? wires.flicks[i].value : 1 - level[number(wire)]);
    if (i != wires.flicks.size() / 2) continue;
    RecipeValues second = wires.second;
    if (wires.spoilt == 2) second.set(Parameter::kDoseUg, 0);
    stage(changes, Instant{at_us}, wires.recipe, second);
    if (wires.spoilt == 1) changes.back().value ^= 4;
  }
  for (SignalChange& change : changes) change.at = change.at + Duration{wires.begin_us};
  return canonical(changes);
}

Played play(const WireCase& wires, WireRules& rules) {
  const Changes inputs = inputs_of(wires);
  const std::vector<Feedback> feedback = {{Instant{0}, wires.feedback_us}};
  return drive(inputs, feedback, inputs.back().at + 3_s, rules);
}

}  // namespace rimebench::properties
