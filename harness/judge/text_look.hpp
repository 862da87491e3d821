#pragma once

#include <cstddef>

namespace rimebench {

/// How a text for people is shown: on a terminal of its own width, with colour if that may be.
struct TextLook {
  std::size_t columns{100};
  bool colour{false};
};

}  // namespace rimebench
