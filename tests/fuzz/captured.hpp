#pragma once

#include <map>
#include <stdexcept>
#include <string>

#include "firmware_sim/units/demand.hpp"
#include "harness/intake/capture.hpp"
#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

/// Any bytes are a capture whose changes are changes, in canonical order and within its ends, or
/// are refused by name. The first byte is the time that a level must hold, in us.
inline void take_in_any_capture(Input bytes, const std::string& head) {
  if (bytes.empty()) return;
  std::string text = head;
  text.append(bytes.begin() + 1, bytes.end());
  const MemoryFile file({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
  std::optional<SignalChange> last;
  std::map<Channel, std::int32_t> levels;
  try {
    std::int64_t changes = 0;
    const Capture capture = take_in_capture(file.path(), {{}, Duration{bytes.front()}},
                                            [&](const SignalChange& change) {
                                              DEMAND(!last || canonical_before(*last, change));
                                              DEMAND(levels[change.channel] != change.value);
                                              DEMAND(change.at >= Instant{0});
                                              levels[change.channel] = change.value;
                                              last = change;
                                              ++changes;
                                            });
    DEMAND(changes == capture.changes());
    DEMAND(!last || (capture.begin <= last->at && last->at <= capture.end));
  } catch (const std::invalid_argument& error) {
    DEMAND(std::string(error.what()).find(file.path()) == 0);
  }
}

}  // namespace rimebench::fuzz
