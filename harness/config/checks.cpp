#include <algorithm>
#include <array>
#include <cmath>

#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"

namespace rimebench {

namespace {

std::string number(std::int64_t value) { return std::to_string(value); }

/// " (key value, file:line)": what a key is held against.
std::string against(const Reading& reading, const std::string& path, const std::string& value) {
  return path + ' ' + value + " (" + reading.line_of(path) + ')';
}

void check_container(Reading& reading, const Scenario& scenario) {
  const ContainerSpec& container = scenario.plant.container;
  const ProductSpec& product = scenario.plant.product;
  if (reading.good({"container.opening_um", "container.body_um"}) &&
      container.opening_um >= container.body_um) {
    reading.problem_at("container.opening_um",
                       number(container.opening_um) + " is not less than " +
                           against(reading, "container.body_um", number(container.body_um)));
  }
  if (!reading.good({"container.brimful_ml", "container.expansion_ppm_per_k", "product.fill_ml",
                     "product.fill_temperature_c"})) {
    return;
  }
  constexpr double kReferenceC = 20.0;
  const double warmer = product.fill_temperature_c - kReferenceC;
  const double holds = container.brimful_ml * (1.0 + container.expansion_ppm_per_k * 1e-6 * warmer);
  if (product.fill_ml <= holds) return;
  reading.problem_at(
      "product.fill_ml",
      number_text(product.fill_ml) + " is more than the container holds, " +
          number_text(std::floor(holds * 10.0) / 10.0) + " ml at " +
          number_text(product.fill_temperature_c) +
          " C: " + against(reading, "container.brimful_ml", number_text(container.brimful_ml)));
}

void check_filler(Reading& reading, const Scenario& scenario) {
  const FillerSpec& filler = scenario.plant.line.filler;
  const std::int64_t body = scenario.plant.container.body_um;
  const bool has_body = reading.good({"container.body_um"});
  // Two neighbours may each be three deviations off, towards each other.
  const std::int64_t apart = body + 6 * filler.pitch_sd_um;
  const bool rotary = filler.kind == FillerKind::kRotary;
  const std::string pitch = rotary ? "line.filler.pitch_um" : "line.filler.head_pitch_um";
  const std::int64_t pitch_um = rotary ? filler.pitch_um : filler.head_pitch_um;
  if (has_body && reading.good({pitch.c_str(), "line.filler.pitch_sd_um"}) && pitch_um <= apart) {
    reading.problem_at(pitch, number(pitch_um) + " lets containers touch: it must be more than " +
                                  against(reading, "container.body_um", number(body)) +
                                  " plus six pitch_sd_um, " + number(apart));
  }
  if (rotary || !reading.good({"line.filler.heads", "line.filler.head_pitch_um",
                               "line.filler.group_pitch_um"})) {
    return;
  }
  const std::int64_t group = filler.heads * filler.head_pitch_um;
  if (filler.group_pitch_um < group) {
    reading.problem_at("line.filler.group_pitch_um",
                       number(filler.group_pitch_um) + " is less than heads times head_pitch_um, " +
                           number(group) + ": groups would overlap");
  }
}

struct Station {
  const char* key;
  std::int64_t um;
};

void check_station_order(Reading& reading, const StationsSpec& stations) {
  const std::array<Station, 6> order{{{"line.stations.sensor_um", stations.sensor_um},
                                      {"line.stations.nozzle_um", stations.nozzle_um},
                                      {"line.stations.lid_um", stations.lid_um},
                                      {"line.stations.seam_um", stations.seam_um},
                                      {"line.stations.discharge_um", stations.discharge_um},
                                      {"line.stations.gate_um", stations.gate_um}}};
  const Station* before = nullptr;
  for (const Station& station : order) {
    const bool is_sensor = &station == order.data();
    if (!reading.good({station.key}) || (station.um == 0 && !is_sensor)) continue;
    if (before != nullptr && station.um <= before->um) {
      reading.problem_at(station.key, number(station.um) + " is not beyond " +
                                          against(reading, before->key, number(before->um)));
    }
    before = &station;
  }
}

void check_stations(Reading& reading, const LineSpec& line) {
  check_station_order(reading, line.stations);
  if (!reading.good({"line.transport"})) return;
  const bool queued = line.transport == Transport::kQueued;
  const StationsSpec& stations = line.stations;
  if (reading.good({"line.stations.lid_um"}) && queued != (stations.lid_um == 0)) {
    reading.problem_at("line.stations.lid_um",
                       queued ? "a queued line lays the lid in the seamer: line.seamer.lid_us"
                              : "a locked transport needs it");
  }
  if (queued && reading.good({"line.stations.discharge_um"}) && stations.discharge_um == 0) {
    reading.problem_at("line.stations.discharge_um", "a queued line needs it");
  }
  if (queued && reading.good({"line.controls.lid_sensor"}) && line.controls.lid_sensor) {
    reading.problem_at("line.controls.lid_sensor", "only a locked transport has one");
  }
}

void check_seamer_steps(Reading& reading, const SeamerSpec& seamer) {
  const auto step = [&](const char* later, std::int64_t later_us, const char* before,
                        std::int64_t before_us) {
    if (!reading.good({later, before}) || later_us >= before_us) return;
    reading.problem_at(
        later, number(later_us) + " is before " + against(reading, before, number(before_us)));
  };
  if (reading.good({"line.seamer.lid_us", "line.seamer.seam_us"}) &&
      seamer.lid_us >= seamer.seam_us) {
    reading.problem_at("line.seamer.seam_us",
                       number(seamer.seam_us) + " is not after " +
                           against(reading, "line.seamer.lid_us", number(seamer.lid_us)));
  }
  step("line.seamer.discharge_us", seamer.discharge_us, "line.seamer.seam_us", seamer.seam_us);
  step("line.seamer.cycle_us", seamer.cycle_us, "line.seamer.seam_us", seamer.seam_us);
}

void check_speed(Reading& reading, const Scenario& scenario) {
  const SpeedProfile& speed = scenario.plant.speed;
  if (!reading.good({"speed"}) || speed.empty()) return;
  const auto slower = [](const SpeedKnot& a, const SpeedKnot& b) {
    return a.containers_per_min < b.containers_per_min;
  };
  const double fastest = std::max_element(speed.begin(), speed.end(), slower)->containers_per_min;
  const std::int64_t cycle_us = scenario.plant.line.seamer.cycle_us;
  if (fastest == 0.0) {
    reading.problem_at("speed", "the line never moves");
  } else if (reading.good({"line.seamer.cycle_us"})) {
    const auto most = static_cast<std::int64_t>(std::floor(60e6 / fastest));
    if (cycle_us <= most) return;
    reading.problem_at("line.seamer.cycle_us",
                       number(cycle_us) + " is too slow for " + number_text(fastest) +
                           " containers a minute (" + reading.line_of("speed") +
                           "): the queue would never empty (valid: 1.." + number(most) + " us)");
  }
}

void check_stops(Reading& reading, const PlantSpec& plant) {
  const std::vector<LineStop>& stops = plant.happens.stops;
  Instant free_from{0};
  for (std::size_t i = 0; i < stops.size(); ++i) {
    const LineStop& stop = stops[i];
    const std::string path = "happens.stops[" + std::to_string(i + 1) + ']';
    const std::string at = path + ".at_us";
    const std::string coast = path + ".coast_us";
    if (!reading.good(
            {at.c_str(), coast.c_str(), (path + ".for_us").c_str(), (path + ".ramp_us").c_str()})) {
      continue;
    }
    if (stop.coast > stop.lasts) {
      reading.problem_at(coast, number(stop.coast.raw) + " is longer than the stop itself");
    }
    if (stop.at == kNever) continue;
    if (stop.at < free_from) {
      reading.problem_at(
          at, number(stop.at.us) + " is before the stop above has ended, " + number(free_from.us));
    }
    free_from = stop.at + stop.lasts + stop.ramp;
    if (reading.good({"feed_us"}) && free_from > Instant{plant.feed.raw}) {
      reading.problem_at(at, "the stop ends at " + number(free_from.us) + ", after " +
                                 against(reading, "feed_us", number(plant.feed.raw)));
    }
  }
}

void check_heads_missing(Reading& reading, const PlantSpec& plant) {
  const std::vector<int>& missing = plant.happens.heads_missing;
  for (std::size_t i = 0; i < missing.size(); ++i) {
    const std::string path = "happens.heads_missing[" + std::to_string(i + 1) + ']';
    if (!reading.good({path.c_str()})) continue;
    if (reading.good({"line.filler.heads"}) && missing[i] > plant.line.filler.heads) {
      reading.problem_at(
          path, number(missing[i]) + " is more than " +
                    against(reading, "line.filler.heads", number(plant.line.filler.heads)));
    }
    if (i > 0 && missing[i] <= missing[i - 1]) {
      reading.problem_at(path, number(missing[i]) + " does not rise above " +
                                   number(missing[i - 1]) + " before it");
    }
  }
  const bool rotary = plant.line.filler.kind == FillerKind::kRotary;
  if (!missing.empty() && rotary && reading.good({"line.filler.kind"})) {
    reading.problem_at("happens.heads_missing", "only an inline filler has heads");
  }
}

void check_happens(Reading& reading, const PlantSpec& plant) {
  check_stops(reading, plant);
  if (reading.good({"happens.chatter.edges"}) && plant.happens.chatter.edges % 2 != 0) {
    reading.problem_at("happens.chatter.edges",
                       number(plant.happens.chatter.edges) + " is not an even number");
  }
  check_heads_missing(reading, plant);
  check_disturbances(reading, plant);
}

void check_expect(Reading& reading, const Scenario& scenario) {
  const ContainerLimits& limits = scenario.plant.limits;
  const char* const least = "expect.container.equilibrium_kpa_min";
  const char* const most = "expect.container.equilibrium_kpa_max";
  if (reading.good({least, most}) && limits.equilibrium_pa_min >= limits.equilibrium_pa_max) {
    const auto kpa = [](std::int64_t pa) { return number_text(static_cast<double>(pa) / 1000.0); };
    reading.problem_at(most, kpa(limits.equilibrium_pa_max) + " is not more than " +
                                 against(reading, least, kpa(limits.equilibrium_pa_min)));
  }
  if (reading.good({"expect.false_rejects_percent_max"}) && scenario.claim == Claim::kHandled &&
      !scenario.run_limits.false_rejects_percent_max) {
    reading.problem_at("claim",
                       "handled needs expect.false_rejects_percent_max: a controller that rejects "
                       "everything lets nothing bad leave either");
  }
}

void check_claim(Reading& reading, const Scenario& scenario) {
  if (!reading.good({"claim"}) || scenario.claim == Claim::kSteady) return;
  if (scenario.reason.empty()) reading.problem_at("claim", "reason must say why it is not steady");
  if (scenario.claim == Claim::kLost && !scenario.plant.happens.link_fault) {
    reading.problem_at("claim", "lost needs happens.link_fault: nothing here loses the link");
  }
}

}  // namespace

void check_scenario(Reading& reading, const Scenario& scenario) {
  check_container(reading, scenario);
  check_filler(reading, scenario);
  check_stations(reading, scenario.plant.line);
  check_seamer_steps(reading, scenario.plant.line.seamer);
  check_speed(reading, scenario);
  check_happens(reading, scenario.plant);
  check_expect(reading, scenario);
  check_claim(reading, scenario);
}

}  // namespace rimebench
