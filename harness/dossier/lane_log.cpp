#include "harness/dossier/lane_log.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include "firmware_sim/contract/fault_table.hpp"
#include "harness/dossier/names.hpp"

namespace rimebench {

namespace {

/// Of the whole axis: closer than this, two spans of one label are drawn as one.
constexpr std::int64_t kApart = 2000;

constexpr auto kWatched = std::to_array<LaneLog::Watched>({
    {Channel::kRunPermit, "run permit", "permit", true, "away"},
    {Channel::kSafetyChain, "safety chain", "permit", true, "open"},
    {Channel::kLinkAlive, "link alive", "permit", true, "away"},
    {Channel::kSupplyReady, "supply ready", "permit", true, "away"},
    {Channel::kFillerRunning, "filler running", "permit", true, "stands"},
    {Channel::kSeamerRunning, "seamer running", "permit", true, "stands"},
    {Channel::kGateAir, "gate air", "permit", true, "low"},
    {Channel::kDownstreamFull, "downstream full", "permit", false, "full"},
    {Channel::kRejectBinFull, "reject bin full", "permit", false, "full"},
    {Channel::kLinePermit, "line permit", "permit", true, "withheld"},
    {Channel::kSupplyIsolation, "supply isolation valve", "permit", true, "shut"},
    {Channel::kAlarm, "alarm", "fault", false, ""},
    {Channel::kMode, "mode", "mode", false, ""},
});

std::string label_of(const LaneLog::Watched& watched, std::int32_t value) {
  if (watched.channel == Channel::kAlarm) {
    const char* const name = fault_name(value);
    return name != nullptr ? in_words(name) : std::to_string(value);
  }
  if (watched.channel != Channel::kMode) return watched.label;
  const auto mode = static_cast<std::size_t>(value);
  return mode < kModeNames.size() ? in_words(kModeNames[mode]) : std::to_string(value);
}

bool matters(const LaneLog::Watched& watched, std::int32_t value) {
  if (watched.channel == Channel::kMode) return true;
  return (value != 0) != watched.away;
}

void append(NamedLane& lane, LaneSpan span, Duration apart) {
  ++lane.total;
  if (!lane.spans.empty()) {
    LaneSpan& last = lane.spans.back();
    if (last.label == span.label && span.from <= last.until + apart) {
      last.until = std::max(last.until, span.until);
      return;
    }
  }
  lane.spans.push_back(std::move(span));
}

/// A total is only said where spans became one.
void settle_total(NamedLane& lane) {
  if (lane.total == static_cast<std::int64_t>(lane.spans.size())) lane.total = 0;
}

}  // namespace

void LaneLog::on_change(const SignalChange& change) {
  static_assert(kWatched.size() <= kWatchedMost);
  for (std::size_t i = 0; i < kWatched.size(); ++i) {
    if (kWatched[i].channel == change.channel) turns_[i].push_back({change.at, change.value});
  }
}

void LaneLog::on_row(const LedgerRow& row) {
  const std::int64_t from = row.sensor_us > 0 ? row.sensor_us : row.lid_us;
  const std::int64_t until = std::max({from, row.seam_us, row.gate_us});
  for (std::size_t i = 0; i < met_.size(); ++i) {
    if (!has_befallen(row.befell, static_cast<Befell>(i))) continue;
    std::vector<LaneSpan>& spans = met_[i];
    if (!spans.empty() && Instant{from} <= spans.back().until) {
      spans.back().until = std::max(spans.back().until, Instant{until});
    } else {
      spans.push_back({Instant{from}, Instant{until}, "containers met"});
    }
  }
}

NamedLane LaneLog::lane_of(std::size_t index, Instant end) const {
  const Watched& watched = kWatched[index];
  const std::vector<Turn>& turns = turns_[index];
  NamedLane lane{watched.name, watched.kind, {}};
  const Duration apart{end.us / kApart};
  Turn now{};
  bool been_there = !watched.away;  // what has yet to come for the first time is not away
  for (std::size_t i = 0; i <= turns.size(); ++i) {
    const Instant until = i < turns.size() ? turns[i].at : end;
    been_there = been_there || now.value != 0;
    if (been_there && matters(watched, now.value) && until > now.at) {
      append(lane, {now.at, until, label_of(watched, now.value)}, apart);
    }
    if (i < turns.size()) now = turns[i];
  }
  settle_total(lane);
  return lane;
}

LanesBlock LaneLog::finish(Instant end) const {
  LanesBlock block;
  block.end = end;
  for (std::size_t i = 0; i < kWatched.size(); ++i) {
    if (turns_[i].empty()) continue;  // not wired, or never touched
    NamedLane lane = lane_of(i, end);
    if (!lane.spans.empty()) block.lanes.push_back(std::move(lane));
  }
  const Duration apart{end.us / kApart};
  for (std::size_t i = 0; i < met_.size(); ++i) {
    if (met_[i].empty()) continue;
    NamedLane lane{in_words(kBefellNames[i]), "disturbance", {}};
    for (const LaneSpan& span : met_[i]) append(lane, span, apart);
    settle_total(lane);
    block.lanes.push_back(std::move(lane));
  }
  return block;
}

}  // namespace rimebench
