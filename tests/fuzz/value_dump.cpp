#include "tests/fuzz/captured.hpp"

namespace rimebench::fuzz {

/// A value change dump as it is, and as what follows a good header.
void value_dump(Input bytes) {
  take_in_any_capture(bytes, "");
  take_in_any_capture(bytes,
                      "$timescale 100 ns $end\n$scope module a $end\n"
                      "$var wire 1 ! container_sensor $end\n$var wire 1 # valve $end\n"
                      "$var integer 32 % supply_level $end\n$var real 64 & speed $end\n"
                      "$upscope $end\n$enddefinitions $end\n");
}

}  // namespace rimebench::fuzz
