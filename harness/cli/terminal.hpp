#pragma once

#include "harness/judge/text_look.hpp"

namespace rimebench {

/// Of this file descriptor: its width and, unless NO_COLOR is set, colour where it is a terminal;
/// else the usual look.
TextLook look_of(int descriptor);

bool is_terminal(int descriptor);

}  // namespace rimebench
