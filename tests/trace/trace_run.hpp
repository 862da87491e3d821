#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

#include "harness/trace/digest.hpp"
#include "harness/trace/reader.hpp"
#include "harness/trace/writer.hpp"

namespace rimebench {

/// The n-th change of a run made up for the tests: two an instant, of all three classes in turn.
inline SignalChange made_up_change(std::int64_t n) {
  constexpr Channel kFirst[] = {Channel::kContainerSensor, Channel::kLinePulse, Channel::kValve};
  const Channel channel = n % 2 == 0 ? kFirst[n / 2 % 3] : Channel::kValveActual;
  return {Instant{n / 2 * 1250}, channel, static_cast<std::int32_t>(n % 7 - 3)};
}

/// Container n of the same run; values of every size and sign.
inline LedgerRow made_up_row(std::int64_t n) {
  LedgerRow row;
  std::int64_t value = n;
  for (const LedgerColumn& column : kLedgerColumns) {
    row.*column.value = value;
    value = -value * 3 + n;
  }
  row.container = n;
  row.seam_us = INT64_MAX - n;
  row.gate_us = n % 2 == 0 ? INT64_MIN : INT64_MAX;
  row.cause = n % static_cast<std::int64_t>(Cause::kCount);
  return row;
}

inline constexpr std::uint64_t kMadeUpSeed = 0xfedcba9876543210u;
inline constexpr const char* kMadeUpScenario = "title: caf\xc3\xa9 frapp\xc3\xa9\nseed: 1\n";

/// Writes `changes` changes with a row after every tenth, and closes the file.
inline RunProof write_made_up_trace(const std::filesystem::path& file, std::int64_t changes) {
  TraceWriter writer(file, kMadeUpSeed, kMadeUpScenario);
  TraceDigest digest;
  for (std::int64_t n = 0; n < changes; ++n) {
    writer.add(made_up_change(n));
    digest.add(made_up_change(n));
    if (n % 10 == 9) writer.add(made_up_row(n / 10 + 1));
  }
  const RunProof proof = digest.proof(Instant{changes * 1250});
  writer.close(proof, 7);
  return proof;
}

/// What a reader gave, all at once.
struct WholeTrace {
  std::vector<SignalChange> changes;
  std::vector<LedgerRow> rows;
};

inline WholeTrace read_all(TraceReader& reader) {
  WholeTrace whole;
  while (reader.next()) {
    whole.changes.insert(whole.changes.end(), reader.changes().begin(), reader.changes().end());
    whole.rows.insert(whole.rows.end(), reader.rows().begin(), reader.rows().end());
  }
  return whole;
}

}  // namespace rimebench
