#pragma once

#include "tests/properties/staged_line.hpp"
#include "tests/properties/wire_rules.hpp"

namespace rimebench::properties {

/// What became of one container, by the plant's own reckoning.
struct Fate {
  int shots = 0;  ///< a stream is one
  bool in_stream = false;
  std::int64_t got_ug = 0;          ///< of a stream
  std::int64_t got_allowed_ug = 0;  ///< off what it needs
  std::int64_t open_us = 0;         ///< of its last shot
  std::int64_t offset_um = 0;       ///< of the middle of the streak, past its centre
  std::int64_t off_allowed_um = 0;
  std::int64_t wait_us = 0;  ///< from landing to seam
  bool rejected = false;     ///< the gate was out as its centre passed
  bool good = false;         ///< dosed once, in full, in place, and seamed in time
};

/// Follows every container of a line through what the controller did.
std::vector<Fate> fates_of(const StagedLine& line, const Changes& outputs);

/// Every container that is not good is rejected, none has two shots, and the counters add up.
void check_containers(const StagedLine& line, const std::vector<Fate>& fates,
                      const WireRules& rules);

/// Nothing happened: every container is good and none is rejected.
void check_calm(const StagedLine& line, const std::vector<Fate>& fates);

}  // namespace rimebench::properties
