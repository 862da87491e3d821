#include "harness/cli/container_timing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "harness/config/load.hpp"
#include "harness/dossier/container_drawing.hpp"
#include "harness/dossier/shot_times.hpp"
#include "harness/trace/reader.hpp"

namespace rimebench {

namespace {

std::optional<LedgerRow> find_row(const std::string& trace, std::int64_t container,
                                  std::string& problem) {
  TraceReader reader(trace);
  std::int64_t least = 0, most = 0;
  while (reader.next()) {
    for (const LedgerRow& row : reader.rows()) {
      if (row.container == container) return row;
      least = least == 0 ? row.container : std::min(least, row.container);
      most = std::max(most, row.container);
    }
  }
  problem = most == 0 ? "no container finished in this trace"
                      : fmt::format("{} is no container that finished (valid: {}..{})", container,
                                    least, most);
  return std::nullopt;
}

/// The stretches in which some levels are up, and the landings of the container, around its way.
class Window {
 public:
  Window(const std::string& trace, const LedgerRow& row, const TimeSpan& span)
      : row_(row), span_(span) {
    TraceReader reader(trace);
    while (reader.next()) {
      for (const SignalChange& change : reader.changes()) add(change);
    }
    for (auto& [channel, from] : up_since_) finish(channel, from, span.until);
  }

  std::vector<Stretch> stretches(Channel channel) const {
    const auto found = stretches_.find(channel);
    return found == stretches_.end() ? std::vector<Stretch>{} : found->second;
  }
  const std::vector<Instant>& landings() const { return landings_; }

 private:
  void add(const SignalChange& change) {
    constexpr auto kLevels = std::to_array<Channel>(
        {Channel::kContainerSensor, Channel::kLinePulse, Channel::kValve, Channel::kValveActual});
    if (std::find(kLevels.begin(), kLevels.end(), change.channel) != kLevels.end()) {
      level(change);
    } else if (change.channel == Channel::kLanding && change.value == row_.container) {
      landings_.push_back(change.at);
    }
  }

  void level(const SignalChange& change) {
    const auto up = up_since_.find(change.channel);
    if (change.value != 0) {
      up_since_.insert({change.channel, change.at});
    } else if (up != up_since_.end()) {
      finish(change.channel, up->second, change.at);
      up_since_.erase(up);
    }
  }

  void finish(Channel channel, Instant from, Instant until) {
    if (until < span_.from || span_.until < from) return;
    stretches_[channel].push_back({{from, until}, false, {}, {}, {}});
  }

  const LedgerRow& row_;
  TimeSpan span_;
  std::map<Channel, Instant> up_since_;
  std::map<Channel, std::vector<Stretch>> stretches_;
  std::vector<Instant> landings_;
};

/// Nothing where the trace holds no scenario, as a bare capture.
Duration fall_in(const std::string& trace) {
  Diagnostics mistakes;
  const auto scenario = parse_resolved(TraceReader(trace).header().scenario, mistakes);
  if (!scenario) return {};
  return fall_to_drink(scenario->plant.line.nozzle, scenario->plant.product);
}

}  // namespace

std::optional<TimingPicture> container_timing(const std::string& trace, std::int64_t container,
                                              std::string& problem) {
  const auto row = find_row(trace, container, problem);
  if (!row) return std::nullopt;
  const Window window(trace, *row, whole_way(*row));
  return draw_container(*row,
                        {window.stretches(Channel::kContainerSensor),
                         window.stretches(Channel::kLinePulse), window.stretches(Channel::kValve),
                         window.stretches(Channel::kValveActual), window.landings()},
                        fall_in(trace));
}

}  // namespace rimebench
