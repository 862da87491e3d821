#pragma once

#include <algorithm>
#include <cstdint>
#include <set>
#include <vector>

#include "plant_model/spec/befell.hpp"
#include "tests/line/metre_line.hpp"

/// Disturbances of the metre line, and what they leave in the ledger.
namespace rimebench::test {

/// The numbers of the containers that this befell.
inline std::set<std::int64_t> met_by(const RecordedRun& run, Befell what) {
  std::set<std::int64_t> numbers;
  for (const LedgerRow& row : run.rows) {
    if (has_befallen(row.befell, what)) numbers.insert(row.container);
  }
  return numbers;
}

/// The metre line for a minute, with a share of its containers met by one thing.
inline PlantSpec metre_line_with(MishapKind kind, Mishap share, Duration feed = 60_s) {
  PlantSpec spec = metre_line();
  spec.feed = feed;
  spec.happens.of(kind) = share;
  return spec;
}

inline PlantSpec metre_line_with(SpellKind kind, Spell spell, Duration feed = 10_s) {
  PlantSpec spec = metre_line();
  spec.feed = feed;
  spec.happens.of(kind) = {spell};
  return spec;
}

/// The changes of `channel` from `from` up to `to`.
inline std::vector<SignalChange> between(const RecordedRun& run, Channel channel, Instant from,
                                         Instant to) {
  std::vector<SignalChange> found;
  for (const SignalChange& change : run.of(channel)) {
    if (from <= change.at && change.at < to) found.push_back(change);
  }
  return found;
}

/// The level of `channel` at `at`.
inline std::int32_t level_at(const RecordedRun& run, Channel channel, Instant at) {
  std::int32_t level = 0;
  for (const SignalChange& change : run.of(channel)) {
    if (change.at <= at) level = change.value;
  }
  return level;
}

}  // namespace rimebench::test
