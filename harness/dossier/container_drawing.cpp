#include "harness/dossier/container_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kMarginShare = 24;  // of the way, on either side
/// Half a shot and a fall are whole microseconds each.
constexpr Duration kRounding{2};

std::string ms(Duration time) {
  return fmt::format("{:.2f} ms", static_cast<double>(time.raw) / 1e3);
}
std::string after_ms(Duration time) {
  return fmt::format("{:+.2f} ms", static_cast<double>(time.raw) / 1e3);
}

/// The last stretch that begins at or before `at`, or null.
Stretch* last_before(std::vector<Stretch>& stretches, Instant at) {
  Stretch* found = nullptr;
  for (Stretch& stretch : stretches) {
    if (stretch.time.from <= at) found = &stretch;
  }
  return found;
}

/// One container's lanes, its own shots marked.
class Drawing {
 public:
  Drawing(const LedgerRow& row, ContainerSignals signals, Duration fall)
      : row_(row), signals_(std::move(signals)), fall_(fall) {
    picture_.whole = whole_way(row);
    picture_.zero = first_seen(row);
    for (Stretch& stretch : signals_.sensor) {
      stretch.own = stretch.time.from.us == row.sensor_us;
    }
    for (const Instant landing : signals_.landings) own_shot(landing);
  }

  TimingPicture picture() {
    const auto closing = [](std::int64_t us) {
      return us > 0 ? std::vector<Stretch>{{{Instant{us}, Instant{us}}, true, {}, {}, {}}}
                    : std::vector<Stretch>{};
    };
    picture_.lanes = {{LaneKind::kSensor, "container sensor", signals_.sensor},
                      {LaneKind::kLinePulse, "line pulse", signals_.pulses},
                      {LaneKind::kCommand, "valve commanded", signals_.command},
                      {LaneKind::kValve, "valve open", signals_.opening},
                      {LaneKind::kLanding, "liquid lands", landing_},
                      {LaneKind::kClosing, "lid laid", closing(row_.lid_us)},
                      {LaneKind::kClosing, "seam closed", closing(row_.seam_us)}};
    if (signals_.pulses.empty()) picture_.lanes.erase(picture_.lanes.begin() + 1);
    texts();
    return std::move(picture_);
  }

 private:
  void own_shot(Instant landed) {
    const Duration half = landed - Instant{row_.landing_us};
    const bool first = landing_.empty();
    const Instant begins = first ? landed - half - half : landed;
    landing_.push_back({{begins, landed}, true, {}, {}, {}});
    // The liquid of this shot had left the nozzle before its last drop landed.
    Stretch* const valve = last_before(signals_.opening, begins - fall_ + kRounding);
    if (valve == nullptr) return;
    valve->own = true;
    Stretch* const command = last_before(signals_.command, valve->time.from);
    if (command == nullptr) return;
    command->own = true;
    label_shot(*command, *valve, landing_.back());
    if (!first) return;
    landing_.back().label = offset_mm() + " from the centre";
    const Duration margin{std::max<std::int64_t>((landed - command->time.from).raw / 6, 500)};
    picture_.shot = {command->time.from - margin, landed + margin};
    picture_.shot_zero = command->time.from;
    shot_facts(*command, *valve, landed);
  }

  static void label_shot(Stretch& command, Stretch& valve, Stretch& landing) {
    command.label = ms(command.time.length());
    valve.label = ms(valve.time.length());
    valve.before = after_ms(valve.time.from - command.time.from);
    valve.after = after_ms(valve.time.until - command.time.until);
    landing.before = after_ms(landing.time.from - valve.time.from);
    landing.after = after_ms(landing.time.until - valve.time.until);
  }

  void fact(const char* name, std::string value, std::optional<Figure> figure) {
    picture_.facts.push_back({name, std::move(value), figure});
  }
  void time_fact(const char* name, std::string value, Duration time) {
    fact(name, std::move(value), Figure{static_cast<double>(time.raw) / 1e3, Measure::kTimeMs, 2});
  }

  std::string offset_mm() const {
    const double tenths = std::round(static_cast<double>(row_.landing_offset_um) / 100.0);
    return fmt::format("{:+.1f} mm", tenths / 10.0 + 0.0);  // + 0.0: no "-0.0"
  }

  void shot_facts(const Stretch& command, const Stretch& valve, Instant landed) {
    if (row_.sensor_us > 0) {
      const Duration lead = command.time.from - Instant{row_.sensor_us};
      time_fact("sensor edge to open command", ms(lead), lead);
    }
    time_fact("command to valve open", after_ms(valve.time.from - command.time.from),
              valve.time.from - command.time.from);
    time_fact("command's end to valve closed", after_ms(valve.time.until - command.time.until),
              valve.time.until - command.time.until);
    time_fact("valve closed to last drop", after_ms(landed - valve.time.until),
              landed - valve.time.until);
  }

  void texts() {
    picture_.title = fmt::format("Container {}", row_.container);
    if (row_.group > 0) {
      picture_.title += fmt::format(", place {} of group {}", row_.place, row_.group);
    }
    picture_.subtitle = fmt::format("first seen at {:.3f} s of the run; {}",
                                    static_cast<double>(picture_.zero.us) / 1e6, outcome());
    if (row_.shots > 0) shot_figures();
    const bool full = row_.equilibrium_pa >= kLiquidFullPa;
    const double kpa = static_cast<double>(row_.equilibrium_pa) / 1e3;
    if (full) {
      fact("settled pressure", "liquid-full", std::nullopt);
    } else {
      fact("settled pressure", fmt::format("{:.1f} kPa ({:.1f} psi)", kpa, kpa / kKpaPerPsi),
           Figure{kpa, Measure::kPressureKpa, 1});
    }
  }

  void shot_figures() {
    const double wait_s = static_cast<double>(row_.wait_us) / 1e6;
    fact("landing to seam", fmt::format("{:.3f} s", wait_s), Figure{wait_s, Measure::kTimeS, 3});
    fact("landing from the centre", offset_mm(),
         Figure{static_cast<double>(row_.landing_offset_um) / 1e3, Measure::kLengthMm, 1});
    const double captured = static_cast<double>(row_.captured_ppm) / 1e4;
    fact("captured", fmt::format("{:.1f} %", captured),
         Figure{captured, Measure::kSharePercent, 1});
    const auto mass = [&](const char* name, std::int64_t ug) {
      const double mg = static_cast<double>(ug) / 1e3;
      fact(name, fmt::format("{:.1f} mg", mg), Figure{mg, Measure::kMassMg, 1});
    };
    mass("dose at the nozzle", row_.nozzle_ug);
    mass("sealed in", row_.sealed_ug);
  }

  std::string outcome() const {
    const std::string shots = row_.shots == 0   ? "no shot"
                              : row_.shots == 1 ? "one shot"
                                                : fmt::format("{} shots", row_.shots);
    const auto cause = static_cast<std::size_t>(row_.cause);
    const std::string judged =
        row_.bad == 0 ? "good" : std::string("bad: ") + kCauseNames.at(cause);
    return fmt::format("{}, {}, {}", shots, judged,
                       row_.removed != 0   ? "taken out at the gate"
                       : row_.flagged != 0 ? "flagged, not taken out"
                                           : "not flagged");
  }

  LedgerRow row_;
  ContainerSignals signals_;
  Duration fall_;
  TimingPicture picture_;
  std::vector<Stretch> landing_;
};

}  // namespace

Instant first_seen(const LedgerRow& row) {
  if (row.sensor_us > 0) return {row.sensor_us};
  return {row.landing_us > 0 ? row.landing_us : row.lid_us};
}

TimeSpan whole_way(const LedgerRow& row) {
  const Instant first = first_seen(row);
  const Duration margin{std::max<std::int64_t>((row.seam_us - first.us) / kMarginShare, 1000)};
  return {Instant{std::max<std::int64_t>(first.us - margin.raw, 0)}, Instant{row.seam_us} + margin};
}

TimingPicture draw_container(const LedgerRow& row, ContainerSignals signals, Duration fall) {
  return Drawing(row, std::move(signals), fall).picture();
}

}  // namespace rimebench
