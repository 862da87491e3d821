#pragma once

/// What a node with a clock needs of the LM3S6965's UART beside board.hpp: to look without waiting.

#include <cstdint>
#include <span>

namespace rimebench {

/// Only true or false for sure while interrupts are masked.
bool bytes_waiting();

/// What has come so far, perhaps nothing; valid until the next call.
std::span<const std::uint8_t> take_bytes();

}  // namespace rimebench
