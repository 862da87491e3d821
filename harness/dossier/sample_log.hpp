#pragma once

/// What the controller was told of supply and room: the first, least, most and last value of each
/// sampled channel.

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

class SampleLog {
 public:
  void on_change(const SignalChange& change);

  /// A row for each channel that had a sample; none: nothing is wired.
  TableBlock table() const;

 private:
  struct Seen {
    std::int32_t first{};
    std::int32_t least{};
    std::int32_t most{};
    std::int32_t last{};
  };
  static constexpr std::size_t kChannels = 4;
  std::array<std::optional<Seen>, kChannels> seen_;
};

}  // namespace rimebench
