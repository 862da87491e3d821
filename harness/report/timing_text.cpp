#include <fmt/format.h>

#include <algorithm>

#include "harness/report/timing_picture.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kNameColumns = 18;
constexpr std::int64_t kColumns = 82;

/// Columns of one span of time.
class Scale {
 public:
  explicit Scale(const TimeSpan& span) : span_(span) {}

  std::int64_t column(Instant at) const {
    const std::int64_t length = std::max<std::int64_t>(span_.length().raw, 1);
    return (at - span_.from).raw * kColumns / length;
  }

  /// The first and last column of a stretch, one at least; false if it lies outside.
  bool columns(const TimeSpan& time, std::int64_t& first, std::int64_t& last) const {
    if (time.until < span_.from || span_.until < time.from) return false;
    first = std::clamp<std::int64_t>(column(time.from), 0, kColumns - 1);
    last = std::clamp<std::int64_t>(column(time.until) - 1, first, kColumns - 1);
    return true;
  }

 private:
  TimeSpan span_;
};

std::string lane_text(const TimingLane& lane, const Scale& scale) {
  std::string cells(kColumns, '.');
  for (const bool own : {false, true}) {
    for (const Stretch& stretch : lane.stretches) {
      std::int64_t first = 0, last = 0;
      if (stretch.own != own || !scale.columns(stretch.time, first, last)) continue;
      const bool moment = stretch.time.from == stretch.time.until;
      const bool pulse = lane.kind == LaneKind::kLinePulse;
      const char mark = pulse ? '=' : !own ? '-' : moment ? '|' : '#';
      for (std::int64_t i = first; i <= last; ++i) cells[static_cast<std::size_t>(i)] = mark;
    }
  }
  return fmt::format("{:<{}}{}\n", lane.name, kNameColumns, cells);
}

std::string axis_text(const TimeSpan& span, Instant zero, const Scale& scale) {
  std::string marks(kColumns, ' '), numbers(kNameColumns + kColumns + 16, ' ');
  const TimeAxis axis = time_axis(span, zero);
  for (const TimeTick& tick : axis.ticks) {
    const std::int64_t at = scale.column(tick.at);
    if (at >= kColumns) continue;
    marks[static_cast<std::size_t>(at)] = '\'';
    numbers.replace(static_cast<std::size_t>(kNameColumns + at), tick.text.size(), tick.text);
  }
  numbers.erase(numbers.find_last_not_of(' ') + 1);
  return std::string(kNameColumns, ' ') + marks + "\n" + numbers + " " + axis.unit + "\n";
}

std::string panel(const TimingPicture& picture, const TimeSpan& span, Instant zero) {
  const Scale scale(span);
  std::string text;
  for (const TimingLane& lane : picture.lanes) {
    if (shows(lane, span)) text += lane_text(lane, scale);
  }
  return text + axis_text(span, zero, scale);
}

}  // namespace

std::string to_lanes(const TimingPicture& picture) {
  std::string text = picture.title + "\n  " + picture.subtitle + "\n\n";
  text += "the whole way, counted from the sensor's edge   # this container  - neighbours\n";
  text += panel(picture, picture.whole, picture.zero);
  if (picture.has_shot()) {
    text += "\nthe shot, counted from its open command\n";
    text += panel(picture, picture.shot, picture.shot_zero);
  }
  text += "\n";
  for (const TimingFact& fact : picture.facts) {
    text += fmt::format("  {:<34}{:>16}\n", fact.name, fact.value);
  }
  return text;
}

}  // namespace rimebench
