#include <algorithm>
#include <utility>

#include "harness/config/disturbance_tables.hpp"
#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"

namespace rimebench {

namespace {

/// The belt keeps its last seconds as this many segments and more.
constexpr std::size_t kKnotsMax = 100;
constexpr Duration kKnotsWithin = 3_s;

std::string number(std::int64_t value) { return std::to_string(value); }

std::string entry_path(const char* list, std::size_t index) {
  return std::string("happens.") + list + '[' + std::to_string(index + 1) + ']';
}

/// Scheduled or drawn, not both and not neither.
void check_when(Reading& reading, const std::string& path, Instant at, double per_hour) {
  const std::string key = path + ".at_us";
  if (!reading.good({key.c_str()}) || (at != kNever) != (per_hour > 0.0)) return;
  reading.problem_at(key, at == kNever ? "neither at_us nor per_hour is given"
                                       : "at_us and per_hour exclude each other");
}

void check_spells(Reading& reading, const PlantSpec& plant, const SpellKey& key) {
  const std::vector<Spell>& spells = plant.happens.of(key.kind);
  Instant free_from{0};
  for (std::size_t i = 0; i < spells.size(); ++i) {
    const Spell& spell = spells[i];
    const std::string path = entry_path(key.key.key, i);
    const std::string at = path + ".at_us";
    if (!reading.good({at.c_str(), (path + ".for_us").c_str()})) continue;
    check_when(reading, path, spell.at, spell.per_hour);
    if (spell.at == kNever || spell.per_hour > 0.0) continue;
    if (spell.at < free_from) {
      reading.problem_at(
          at, number(spell.at.us) + " is before the one above has ended, " + number(free_from.us));
    }
    free_from = spell.at + spell.lasts + spell.ramp;
    if (reading.good({"feed_us"}) && free_from > Instant{plant.feed.raw}) {
      reading.problem_at(
          at, "it ends at " + number(free_from.us) + ", after feed_us " + number(plant.feed.raw));
    }
  }
}

/// How far a block may be turned back: what has passed the last station is gone from the model, so
/// it must not come by a sensor again.
std::int64_t turned_back_um_max(const PlantSpec& plant) {
  const StationsSpec& stations = plant.line.stations;
  const std::int64_t sensor = std::max(stations.sensor_um, stations.discharge_um);
  const std::int64_t last = std::max({stations.seam_um, stations.discharge_um, stations.gate_um});
  return std::max<std::int64_t>(last - sensor - plant.container.body_um / 2, 0);
}

/// Turned back in all in the stop that holds this jog, up to its end.
std::int64_t turned_back_um(const Happenings& happens, std::size_t index) {
  const std::vector<Spell>& jogs = happens.of(SpellKind::kJog);
  const auto stop = std::find_if(happens.stops.rbegin(), happens.stops.rend(), [&](auto& each) {
    return each.at != kNever && each.at <= jogs[index].at;
  });
  double back = 0.0;
  for (std::size_t i = 0; i <= index; ++i) {
    const bool same_stop = i == index || (stop != happens.stops.rend() && stop->at <= jogs[i].at);
    const double seconds = static_cast<double>(jogs[i].lasts.raw) / 1e6;
    if (same_stop && jogs[i].amount < 0.0) back -= jogs[i].amount * seconds;
  }
  return static_cast<std::int64_t>(back);
}

void check_turned_back(Reading& reading, const PlantSpec& plant, std::size_t index) {
  if (!reading.good({"line.transport", "line.stations.sensor_um", "line.stations.seam_um",
                     "line.stations.discharge_um", "line.stations.gate_um", "container.body_um"}))
    return;
  const std::string speed = entry_path("jogs", index) + ".um_per_s";
  if (plant.line.transport == Transport::kQueued) {
    reading.problem_at(speed, "only the block of a locked transport is turned back");
    return;
  }
  const std::int64_t most = turned_back_um_max(plant);
  const std::int64_t back = turned_back_um(plant.happens, index);
  if (back <= most) return;
  reading.problem_at(speed, "turns the block back by " + number(back) +
                                " um in all: what has passed the last station would come by a "
                                "sensor again (valid: at most " +
                                number(most) + " um)");
}

void check_jogs(Reading& reading, const PlantSpec& plant) {
  const std::vector<Spell>& jogs = plant.happens.of(SpellKind::kJog);
  for (std::size_t i = 0; i < jogs.size(); ++i) {
    const std::string path = entry_path("jogs", i);
    const std::string at = path + ".at_us";
    const std::string speed = path + ".um_per_s";
    if (!reading.good({at.c_str(), speed.c_str(), (path + ".for_us").c_str()})) continue;
    const auto holds = [&](const LineStop& stop) {
      return stop.at != kNever && stop.at + stop.coast <= jogs[i].at &&
             jogs[i].at + jogs[i].lasts <= stop.at + stop.lasts;
    };
    const std::vector<LineStop>& stops = plant.happens.stops;
    if (jogs[i].at != kNever && std::none_of(stops.begin(), stops.end(), holds)) {
      reading.problem_at(at, "no stop of happens.stops holds the line still all that time");
    }
    if (jogs[i].amount == 0.0) reading.problem_at(speed, "0 moves nothing");
    if (jogs[i].amount < 0.0) check_turned_back(reading, plant, i);
  }
}

/// A disturbance of something that this line does not have.
void check_has(Reading& reading, bool has, const char* key, const char* why) {
  if (!has && reading.good({key})) reading.problem_at(key, why);
}

void check_line_has(Reading& reading, const PlantSpec& plant) {
  const Happenings& happens = plant.happens;
  const LineSpec& line = plant.line;
  if (reading.good({"line.transport"})) {
    const bool queued = line.transport == Transport::kQueued;
    for (const auto& [kind, key] : {std::pair{SpellKind::kSeamerSlow, "happens.seamer_slow"},
                                    std::pair{SpellKind::kSeamerStop, "happens.seamer_stops"}}) {
      check_has(reading, queued || happens.of(kind).empty(), key,
                "only a queued line has a seamer of its own pace");
    }
  }
  if (reading.good({"line.filler.kind"})) {
    const bool groups = line.filler.kind == FillerKind::kInline;
    for (const char* key :
         {"happens.short_groups", "happens.group_signal_lost", "happens.group_signal_late"}) {
      check_has(reading, groups, key, "only an inline filler has groups");
    }
  }
  if (reading.good({"line.controls.line_pulse_pitch_um"})) {
    const bool pulses = line.controls.line_pulse_pitch_um > 0;
    for (const char* key : {"happens.pulse_lost", "happens.pulse_doubled"}) {
      check_has(reading, pulses, key, "the line has no pulse");
    }
    check_has(reading, pulses || happens.of(SpellKind::kSlip).empty(), "happens.slips",
              "the line has no pulse");
  }
}

void check_sizes(Reading& reading, const PlantSpec& plant) {
  const Happenings& happens = plant.happens;
  const std::int64_t body = plant.container.body_um;
  const auto at_least_body = [&](const char* key, const Mishap& share) {
    if (!reading.good({key, "container.body_um"}) || share.um >= body) return;
    reading.problem_at(key, number(share.um) + " is less than container.body_um " + number(body));
  };
  at_least_body("happens.fallen.length_um", happens.of(MishapKind::kFallen));
  at_least_body("happens.extra.behind_um", happens.of(MishapKind::kExtra));
  const int heads = happens.of(MishapKind::kShortGroup).heads;
  const char* const short_heads = "happens.short_groups.heads";
  if (reading.good({short_heads, "line.filler.heads"}) && heads >= plant.line.filler.heads) {
    reading.problem_at(short_heads, number(heads) + " is no less than line.filler.heads " +
                                        number(plant.line.filler.heads));
  }
  const WrongContainer& wrong = happens.wrong_container;
  const char* const fill = "happens.wrong_container.fill_ml";
  if (reading.good({fill, "happens.wrong_container.brimful_ml"}) &&
      wrong.fill_ml >= wrong.brimful_ml) {
    reading.problem_at(fill, number_text(wrong.fill_ml) + " is not less than brimful_ml " +
                                 number_text(wrong.brimful_ml));
  }
}

void check_operator(Reading& reading, const Happenings& happens) {
  const std::vector<OperatorAct>& acts = happens.operator_acts;
  for (std::size_t i = 0; i < acts.size(); ++i) {
    const std::string path = entry_path("operator", i);
    if (acts[i].button == Button::kLoadRecipe && !happens.second_recipe &&
        reading.good({(path + ".press").c_str()})) {
      reading.problem_at(path + ".press", "happens.second_recipe says nothing of a recipe to load");
    }
    const std::string shots = path + ".shots";
    if (!reading.good({shots.c_str(), (path + ".press").c_str()})) continue;
    if ((acts[i].button == Button::kTestShots) == (acts[i].shots > 0)) continue;
    reading.problem_at(shots, acts[i].shots > 0 ? "only test_shots asks for shots"
                                                : "test_shots asks for at least 1");
  }
}

void check_drawn_stops(Reading& reading, const std::vector<LineStop>& stops) {
  for (std::size_t i = 0; i < stops.size(); ++i) {
    const std::string path = entry_path("stops", i);
    const std::string most = path + ".for_us_max";
    check_when(reading, path, stops[i].at, stops[i].per_hour);
    if (!reading.good({most.c_str(), (path + ".for_us").c_str()}) || stops[i].lasts_max.raw == 0) {
      continue;
    }
    if (stops[i].at != kNever) {
      reading.problem_at(most, "a stop at a given moment lasts for_us");
    } else if (stops[i].lasts_max < stops[i].lasts) {
      reading.problem_at(most, number(stops[i].lasts_max.raw) + " is less than for_us " +
                                   number(stops[i].lasts.raw));
    }
  }
}

void check_knots(Reading& reading, const SpeedProfile& speed) {
  for (std::size_t i = kKnotsMax; i < speed.size(); ++i) {
    if (speed[i].at - speed[i - kKnotsMax].at >= kKnotsWithin) continue;
    return reading.problem_at(
        "speed", "more than 100 speeds within 3 s, up to " + number(speed[i].at.us) + " us");
  }
}

}  // namespace

void check_disturbances(Reading& reading, const PlantSpec& plant) {
  for (const SpellKey& key : kSpellKeys) check_spells(reading, plant, key);
  check_jogs(reading, plant);
  check_line_has(reading, plant);
  check_sizes(reading, plant);
  check_operator(reading, plant.happens);
  check_drawn_stops(reading, plant.happens.stops);
  if (reading.good({"speed"})) check_knots(reading, plant.speed);
}

}  // namespace rimebench
