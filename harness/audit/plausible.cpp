#include "harness/audit/plausible.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "harness/audit/belt_track.hpp"
#include "harness/audit/robust.hpp"
#include "harness/trace/channel_names.hpp"

namespace rimebench {

namespace {

/// A figure a thousandfold off is a unit of time; anything nearer may be the line's own doing.
constexpr double kUnitOff = 100.0;
/// No belt of a packaging line is faster: the range of speed_max_um_per_s ends there.
constexpr double kFastestUmPerUs = 5.0;

std::string name_of(Channel channel) {
  for (const ChannelName& row : every_channel_name()) {
    if (row.channel == channel) return row.name;
  }
  return {};
}

[[noreturn]] void refuse(const std::string& problem) { throw std::invalid_argument(problem); }

void demand_wires(const CapturedLine& line) {
  for (const Channel channel : {Channel::kContainerSensor, Channel::kValve}) {
    if (line.has(channel)) continue;
    refuse(
        fmt::format("{0} is not captured, and nothing can be measured without it: say which wire "
                    "it is (--wire WIRE={0})",
                    name_of(channel)));
  }
  for (const Channel channel : {Channel::kContainerSensor, Channel::kValve}) {
    if (line.rises(channel)) continue;
    refuse(
        fmt::format("{} never rises in the capture: nothing to measure. Did the line run, and is "
                    "it the right wire?",
                    name_of(channel)));
  }
}

std::vector<double> highs(const std::vector<Pulse>& pulses) {
  std::vector<double> lengths;
  for (const Pulse& pulse : pulses) lengths.push_back(pulse.length());
  return lengths;
}

std::vector<double> lows(const std::vector<Pulse>& pulses) {
  std::vector<double> lengths;
  for (std::size_t i = 1; i < pulses.size(); ++i) {
    lengths.push_back(pulses[i].from_us - pulses[i - 1].to_us);
  }
  return lengths;
}

[[noreturn]] void upside_down(Channel channel, const std::string& why) {
  refuse(fmt::format("{0} looks upside down: {1}. If so, say --wire WIRE=!{0}", name_of(channel),
                     why));
}

void demand_valve(const CapturedLine& line, const RecipeValues& recipe) {
  const std::vector<Pulse> shots = pulses_of(line, Channel::kValve);
  const double high = median_of(highs(shots)), low = median_of(lows(shots));
  const auto least = static_cast<double>(recipe.get(Parameter::kOpenUsMin));
  const auto most = static_cast<double>(recipe.get(Parameter::kOpenUsMax));
  if (shots.size() >= 3 && high > most && least <= low && low <= most) {
    upside_down(
        Channel::kValve,
        fmt::format("it is high for {:.1f} ms and low for {:.1f} ms at a time, and no shot of "
                    "the recipe is longer than {:.1f} ms",
                    high / 1e3, low / 1e3, most / 1e3));
  }
  if (shots.empty() || (least / kUnitOff < high && high < most * kUnitOff)) return;
  refuse(fmt::format(
      "the valve is open for {:.6g} ms at a time, but the recipe's shots last {:.6g} to "
      "{:.6g} ms: are the capture's times in another unit?",
      high / 1e3, least / 1e3, most / 1e3));
}

std::vector<double> travels(const std::vector<Pulse>& levels, const BeltTrack& belt, bool high) {
  std::vector<double> widths;
  for (std::size_t i = 0; i + 1 < levels.size(); ++i) {
    const auto from = belt.position(high ? levels[i].from_us : levels[i].to_us);
    const auto to = belt.position(high ? levels[i].to_us : levels[i + 1].from_us);
    if (from && to) widths.push_back(*to - *from);
  }
  return widths;
}

void demand_sensor(const CapturedLine& line, const BeltTrack& belt, const RecipeValues& recipe) {
  const std::vector<Pulse> levels = pulses_of(line, Channel::kContainerSensor);
  const double high = median_of(travels(levels, belt, true));
  const double low = median_of(travels(levels, belt, false));
  const double least = recipe.get(Parameter::kContainerWidthMinUm);
  const double most = recipe.get(Parameter::kContainerWidthMaxUm);
  const bool outside = high < least || high > most;
  // What the sensor sees of a can is about twice the way to its centre.
  const double body = 2.0 * recipe.get(Parameter::kEdgeToCentreUm);
  if (levels.size() < 3 || !outside || std::abs(low - body) >= std::abs(high - body)) return;
  upside_down(
      Channel::kContainerSensor,
      fmt::format("what it shows as containers is {:.1f} mm wide, the gaps {:.1f} mm, and the "
                  "recipe's containers are {:.1f} to {:.1f} mm",
                  high / 1e3, low / 1e3, least / 1e3, most / 1e3));
}

void demand_speed(const BeltTrack& belt) {
  const PulseAudit& pulses = belt.pulses();
  if (!belt.pulsed() || pulses.pulses < 3) return;
  const double speed = pulses.fastest_um_per_us;
  if (speed <= kFastestUmPerUs) return;
  refuse(
      fmt::format("by its pulses the belt runs at {:.6g} m/s: are the capture's times in another "
                  "unit?",
                  speed));
}

/// High while the valve is shut and low while it is open.
void demand_feedback(const CapturedLine& line) {
  for (const Channel channel : {Channel::kValveActual, Channel::kValveFeedback}) {
    const std::vector<double> high = highs(pulses_of(line, channel));
    const std::vector<double> shots = highs(pulses_of(line, Channel::kValve));
    const std::vector<double> low = lows(pulses_of(line, channel));
    if (high.size() < 3 || shots.size() < 3) continue;
    const double shot = median_of(shots);
    if (std::abs(median_of(high) - shot) <= std::abs(median_of(low) - shot)) continue;
    upside_down(channel,
                fmt::format("it is high for {:.1f} ms and low for {:.1f} ms at a time, while "
                            "the valve is commanded open for {:.1f} ms",
                            median_of(high) / 1e3, median_of(low) / 1e3, shot / 1e3));
  }
}

void demand_permit(const CapturedLine& line) {
  if (!line.has(Channel::kRunPermit)) return;
  double wrong = 0.0, all = 0.0;
  bool permitted = false;
  for (const SignalChange& change : line.changes) {
    if (change.channel == Channel::kRunPermit) permitted = change.value != 0;
    if (change.channel != Channel::kValve || change.value == 0) continue;
    all += 1.0;
    if (!permitted) wrong += 1.0;
  }
  if (wrong > 0.5 * all) {
    upside_down(Channel::kRunPermit, "most shots fell while it was low");
  }
}

}  // namespace

void demand_plausible(const CapturedLine& line, const RecipeValues& recipe) {
  demand_wires(line);
  demand_valve(line, recipe);
  const BeltTrack belt(line, recipe);
  demand_speed(belt);
  demand_sensor(line, belt, recipe);
  demand_feedback(line);
  demand_permit(line);
}

}  // namespace rimebench
