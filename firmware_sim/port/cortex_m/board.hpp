#pragma once

/// What the node needs of the machine it runs on. One file a board gives it: the link to the bench,
/// the pin of the valve, and a way to stop.

#include <array>
#include <cstdint>
#include <span>

namespace rimebench {

void open_board();

/// Waits for bytes from the bench; valid until the next call. Empty: there will be no more.
std::span<const std::uint8_t> receive();

void send(std::span<const std::uint8_t> bytes);

/// The pin that opens the valve. It follows the controller, so in lockstep its times mean nothing.
void drive_valve(bool open);
bool valve_driven();

/// The session has ended: a board without another bench to wait for stops here.
void session_ended();

/// A line for whoever watches the machine, if the board can show one; `text` ends in 0.
void say(const char* text);

/// Stops for good with every interrupt masked, after `last_words` went out to the bench at once,
/// past whatever waits to be sent. Calls no DEMAND, so that panic may use it.
[[noreturn]] void stop_failed(std::span<const std::uint8_t> last_words);

}  // namespace rimebench
