#include "tests/fuzz/captured.hpp"

namespace rimebench::fuzz {

/// A table of levels as it is, and as rows under a good header.
void level_table(Input bytes) {
  take_in_any_capture(bytes, "");
  take_in_any_capture(bytes, "Time [s],container_sensor,valve,supply_level\n");
}

}  // namespace rimebench::fuzz
