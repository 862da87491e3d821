#include "firmware_sim/wire/cobs.hpp"

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

namespace {
constexpr std::size_t kBlockBytesMax = 254;
constexpr std::uint8_t kFullBlock = 0xff;
}  // namespace

std::size_t cobs_encode(std::span<const std::uint8_t> bytes, std::span<std::uint8_t> out) {
  DEMAND(out.size() >= cobs_size_max(bytes.size()));
  std::size_t code_at = 0;
  std::size_t written = 1;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    // A full block is closed only when another byte follows: one at the very end needs no
    // successor.
    const bool full = written - code_at == kBlockBytesMax + 1;
    if (full) {
      out[code_at] = kFullBlock;
      code_at = written++;
    }
    if (bytes[i] == 0) {
      out[code_at] = static_cast<std::uint8_t>(written - code_at);
      code_at = written++;
    } else {
      out[written++] = bytes[i];
    }
  }
  out[code_at] = static_cast<std::uint8_t>(written - code_at);
  return written;
}

std::optional<std::size_t> cobs_decode(std::span<const std::uint8_t> stuffed,
                                       std::span<std::uint8_t> out) {
  DEMAND(out.size() >= stuffed.size());
  if (stuffed.empty()) return std::nullopt;
  std::size_t read = 0;
  std::size_t written = 0;
  while (read < stuffed.size()) {
    const std::uint8_t code = stuffed[read++];
    if (code == 0 || code - 1U > stuffed.size() - read) return std::nullopt;
    for (const std::size_t end = read + code - 1; read < end; ++read) {
      if (stuffed[read] == 0) return std::nullopt;
      out[written++] = stuffed[read];
    }
    if (code != kFullBlock && read < stuffed.size()) out[written++] = 0;
  }
  return written;
}

}  // namespace rimebench
