#include "harness/audit/captured_line.hpp"

#include <algorithm>

namespace rimebench {

bool CapturedLine::rises(Channel channel) const {
  return std::any_of(changes.begin(), changes.end(), [&](const SignalChange& change) {
    return change.channel == channel && change.value != 0 && change.at > begin;
  });
}

std::int32_t CapturedLine::first_level(Channel channel) const {
  for (const SignalChange& change : changes) {
    if (change.at > begin) break;
    if (change.channel == channel) return change.value;
  }
  return 0;
}

std::vector<SignalChange> changes_of(const CapturedLine& line, Channel channel) {
  std::vector<SignalChange> found;
  for (const SignalChange& change : line.changes) {
    if (change.channel == channel) found.push_back(change);
  }
  return found;
}

std::vector<Pulse> pulses_of(const CapturedLine& line, Channel channel) {
  std::vector<Pulse> pulses;
  std::optional<double> rose;
  for (const SignalChange& change : changes_of(line, channel)) {
    const auto at = static_cast<double>(change.at.us);
    // What is there as the capture begins is a level, not an edge.
    if (change.value != 0 && change.at > line.begin) rose = at;
    if (change.value == 0 && rose) pulses.push_back({*rose, at});
    if (change.value == 0) rose.reset();
  }
  return pulses;
}

}  // namespace rimebench
