#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "harness/campaign/recorder.hpp"
#include "harness/link/byte_stream.hpp"

namespace rimebench {

struct PacedOptions {
  bool on{};
  bool lock_memory{};
  bool realtime{};
  /// An input that reaches the node later than this after its time makes the run inconclusive.
  std::int64_t budget_us{5'000};
};

struct PacedOutcome {
  Instant end;
  std::uint64_t exchanges{};
  std::string lost;     ///< why the link was lost, or empty
  std::string refused;  ///< what the system did not allow, a line each, or empty
};

/// Runs the scenario on the wall clock against the node at the other end of `stream`. What the
/// system does not allow, the run goes on without: its figures then tell whether it matters.
PacedOutcome run_paced_scenario(const PacedOptions& options, std::unique_ptr<ByteStream> stream,
                                const Scenario& scenario, Recorder& recorder);

}  // namespace rimebench
