#include "plant_model/line/schedule.hpp"

#include <algorithm>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

constexpr double kMicrosPerHour = 3'600e6;
/// The least time from the end of a drawn spell to the next one of the same entry.
constexpr Duration kRecovery = 1_s;
/// After an emergency stop the operator closes the chain and presses reset, reset, start, one a
/// second, and the line runs on a second later.
constexpr Duration kOperatorStep = 1_s;
constexpr int kOperatorSteps = 4;

/// A number of its own for each kind of spell, from this one on.
std::uint32_t source_of(SpellKind kind) {
  return static_cast<std::uint32_t>(Source::kSpellFirst) + static_cast<std::uint32_t>(kind);
}

/// The moments of one entry drawn at a rate, with one uniform number for each.
struct Drawn {
  Instant at;
  double uniform{};
};

std::vector<Drawn> draw_moments(const PlantSpec& spec, std::uint32_t source, std::size_t entry,
                                double per_hour, Duration busy) {
  std::vector<Drawn> all;
  Instant free_from{0};
  for (std::uint64_t ordinal = 0;; ++ordinal) {
    RandomStream chance(spec.seed, source, std::uint64_t{entry} << 32 | ordinal);
    const double gap_us = chance.exponential() * kMicrosPerHour / per_hour;
    const Instant at = free_from + Duration{static_cast<std::int64_t>(gap_us)} + kRecovery;
    if (at + busy >= Instant{spec.feed.raw}) return all;
    all.push_back({at, chance.uniform()});
    free_from = at + busy;
  }
}

/// Keeps what is scheduled, and of what is drawn whatever overlaps none before it.
template <class Item, class From, class To>
std::vector<Item> without_overlap(std::vector<Item> scheduled, std::vector<Item> drawn, From from,
                                  To to) {
  const auto earlier_first = [&](const Item& a, const Item& b) { return from(a) < from(b); };
  std::stable_sort(drawn.begin(), drawn.end(), earlier_first);
  for (const Item& item : drawn) {
    const auto clashes = [&](const Item& other) {
      return from(item) < to(other) && from(other) < to(item);
    };
    if (std::none_of(scheduled.begin(), scheduled.end(), clashes)) scheduled.push_back(item);
  }
  std::stable_sort(scheduled.begin(), scheduled.end(), earlier_first);
  return scheduled;
}

Befell befell_of(SpellKind kind, double amount) {
  switch (kind) {
    case SpellKind::kSensorStuckHigh:
    case SpellKind::kSensorStuckLow:
      return Befell::kSensorStuck;
    case SpellKind::kCreep:
      return Befell::kCreep;
    case SpellKind::kSpeedStep:
      return Befell::kSpeedStep;
    case SpellKind::kHunting:
      return Befell::kHunting;
    case SpellKind::kJog:
      return amount < 0.0 ? Befell::kReverse : Befell::kJog;
    case SpellKind::kEmergencyStop:
      return Befell::kEmergencyStop;
    case SpellKind::kSlip:
      return Befell::kSlip;
    case SpellKind::kSeamerSlow:
      return Befell::kSeamerSlow;
    case SpellKind::kSeamerStop:
      return Befell::kSeamerStop;
    case SpellKind::kDownstreamFull:
      return Befell::kDownstreamFull;
    case SpellKind::kPermitFlicker:
      return Befell::kPermitFlicker;
    case SpellKind::kSafetyOpen:
      return Befell::kSafetyChain;
    case SpellKind::kLinkFlicker:
      return Befell::kLinkFlicker;
    case SpellKind::kFeedPause:
      return Befell::kFeedPause;
    case SpellKind::kCount:
      break;
  }
  DEMAND(false);
  return Befell::kCount;
}

Duration whole_stop(const Occurrence& emergency) {
  return emergency.to - emergency.from + Duration{kOperatorSteps * kOperatorStep.raw};
}

/// What the operator does once the chain is closed again.
void add_recovery(std::vector<TimelineEvent>& events, Instant closed) {
  int step = 0;
  for (const Button button : {Button::kReset, Button::kReset, Button::kStart}) {
    TimelineEvent press{};
    press.at = closed + Duration{++step * kOperatorStep.raw};
    press.what = TimelineEvent::What::kOperator;
    press.button = button;
    events.push_back(press);
  }
}

void add_spells(std::vector<TimelineEvent>& events, const PlantSpec& spec, SpellKind kind) {
  for (const Occurrence& spell : occurrences(spec, kind)) {
    TimelineEvent event{};
    event.what = TimelineEvent::What::kSpell;
    event.kind = kind;
    event.befell = befell_of(kind, spell.amount);
    event.amount = spell.amount;
    event.to = spell.to;
    event.at = spell.from;
    event.begins = true;
    events.push_back(event);
    const bool ramps_back = kind == SpellKind::kCreep || kind == SpellKind::kSpeedStep;
    event.at = ramps_back ? spell.to + spell.ramp : spell.to;
    event.begins = false;
    events.push_back(event);
    if (kind == SpellKind::kEmergencyStop) add_recovery(events, spell.to);
  }
}

/// What only marks the containers that it meets.
void add_marks(std::vector<TimelineEvent>& events, Befell befell, Instant from, Instant to) {
  TimelineEvent event{};
  event.what = TimelineEvent::What::kMark;
  event.befell = befell;
  event.at = from;
  event.begins = true;
  events.push_back(event);
  if (to == kNever) return;
  event.at = to;
  event.begins = false;
  events.push_back(event);
}

/// The start button behind a restart; kNever if nobody presses it.
Instant started_again(const Happenings& happens, Instant restart) {
  const Instant up = restart + happens.core_restart->lasts;
  for (const OperatorAct& act : happens.operator_acts) {
    if (act.button == Button::kStart && act.at >= up) return act.at;
  }
  return kNever;
}

}  // namespace

std::vector<Occurrence> occurrences(const PlantSpec& spec, SpellKind kind) {
  std::vector<Occurrence> scheduled;
  std::vector<Occurrence> drawn;
  const std::vector<Spell>& entries = spec.happens.of(kind);
  for (std::size_t entry = 0; entry < entries.size(); ++entry) {
    const Spell& spell = entries[entry];
    const auto at = [&](Instant from) {
      return Occurrence{from,       from + spell.lasts, spell.amount,
                        spell.ramp, spell.coast,        spell.period};
    };
    if (spell.at != kNever) {
      scheduled.push_back(at(spell.at));
    } else {
      const Duration busy = spell.lasts + spell.ramp;
      for (const Drawn& moment : draw_moments(spec, source_of(kind), entry, spell.per_hour, busy)) {
        drawn.push_back(at(moment.at));
      }
    }
  }
  return without_overlap(
      scheduled, drawn, [](const Occurrence& spell) { return spell.from; },
      [](const Occurrence& spell) { return spell.to + spell.ramp; });
}

std::vector<LineStop> all_stops(const PlantSpec& spec) {
  std::vector<LineStop> scheduled;
  std::vector<LineStop> drawn;
  const std::vector<LineStop>& stops = spec.happens.stops;
  for (std::size_t entry = 0; entry < stops.size(); ++entry) {
    LineStop stop = stops[entry];
    if (stop.at != kNever) {
      scheduled.push_back(stop);
      continue;
    }
    const Duration range = std::max(stop.lasts, stop.lasts_max) - stop.lasts;
    const auto source = static_cast<std::uint32_t>(Source::kStops);
    const Duration busy = stop.lasts + range + stop.ramp;
    for (const Drawn& moment : draw_moments(spec, source, entry, stop.per_hour, busy)) {
      LineStop one = stop;
      one.at = moment.at;
      one.lasts +=
          Duration{static_cast<std::int64_t>(moment.uniform * static_cast<double>(range.raw))};
      drawn.push_back(one);
    }
  }
  for (const Occurrence& spell : occurrences(spec, SpellKind::kEmergencyStop)) {
    scheduled.push_back({spell.from, whole_stop(spell), spell.coast, spell.ramp});
  }
  return without_overlap(
      scheduled, drawn, [](const LineStop& stop) { return stop.at; },
      [](const LineStop& stop) { return stop.at + stop.lasts + stop.ramp; });
}

std::vector<TimelineEvent> timeline(const PlantSpec& spec) {
  std::vector<TimelineEvent> events;
  for (int kind = 0; kind < static_cast<int>(SpellKind::kCount); ++kind) {
    add_spells(events, spec, static_cast<SpellKind>(kind));
  }
  for (const LineStop& stop : all_stops(spec)) {
    add_marks(events, Befell::kStop, stop.at, stop.at + stop.lasts + stop.ramp);
  }
  const Happenings& happens = spec.happens;
  if (happens.core_hang) add_marks(events, Befell::kControllerDown, happens.core_hang->at, kNever);
  if (happens.core_restart) {
    const Instant at = happens.core_restart->at;
    add_marks(events, Befell::kControllerDown, at, started_again(happens, at));
  }
  for (const OperatorAct& act : spec.happens.operator_acts) {
    TimelineEvent event{};
    event.what = TimelineEvent::What::kOperator;
    event.at = act.at;
    event.button = act.button;
    event.shots = act.shots;
    events.push_back(event);
  }
  const auto first = [](const TimelineEvent& a, const TimelineEvent& b) {
    return a.at != b.at ? a.at < b.at : !a.begins && b.begins;
  };
  std::stable_sort(events.begin(), events.end(), first);
  return events;
}

}  // namespace rimebench
