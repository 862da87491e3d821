#pragma once

#include "firmware_sim/wire/message.hpp"

namespace rimebench {

/// Why a node refused a frame, in words that follow "it refused grant 7: ".
const char* meaning(Refusal reason);

}  // namespace rimebench
