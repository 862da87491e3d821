#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "harness/cli/recorder.hpp"
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
  std::string lost;  ///< why the run proves nothing: the link was lost, or it was late; or empty
  std::string text;  ///< the figures of lateness, for people; empty if there was no node
};

/// Runs the scenario on the wall clock against the node at the other end of `stream`.
PacedOutcome run_paced_scenario(const PacedOptions& options, std::unique_ptr<ByteStream> stream,
                                const Scenario& scenario, Recorder& recorder);

}  // namespace rimebench
