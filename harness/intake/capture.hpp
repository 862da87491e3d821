#pragma once

/// From what a logic analyser saw on the wires to signal changes: a value change dump, an
/// analyser's session, or a table with a time and one level a column. Wires get their channels by
/// name or by the user's word.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

/// What the user says about one wire.
struct WireChoice {
  std::string wire;  ///< its name in the file, whole or its last part
  Channel channel{};
  bool inverted{};  ///< low is 1
};

struct CaptureOptions {
  std::vector<WireChoice> wires;
  Duration debounce{};  ///< a level that holds for less is left out
};

/// Where one wire of the file went.
struct CapturedWire {
  std::string wire;
  std::optional<Channel> channel;  ///< nothing: the wire is not used
  bool inverted{};
  std::int64_t changes{};  ///< taken over
  std::int64_t bounces{};  ///< levels that held for less than the debounce time, or 1 us
  std::int64_t no_data{};  ///< values that are none (x, z, empty)
};

struct Capture {
  std::vector<CapturedWire> wires;
  Instant begin;  ///< the file's first value: a level that was there before
  Instant end;
  std::int64_t shifted_us{};     ///< the file's time of instant 0, where it does not start there
  std::int64_t finer_than_us{};  ///< changes whose time was rounded
  std::vector<std::string> notes;

  std::int64_t changes() const;
};

/// WIRE=CHANNEL or WIRE=!CHANNEL for an inverted wire. Nothing, with the problem, if there is no
/// such channel.
std::optional<WireChoice> parse_wire(const std::string& text, std::string& problem);

/// Reads a whole capture; `sink` gets the changes in canonical order. Throws std::invalid_argument
/// with file and line for what is no capture, for a wire that is not there, for two wires on one
/// channel, and if no wire has a channel.
Capture take_in_capture(const std::filesystem::path& file, const CaptureOptions& options,
                        const std::function<void(const SignalChange&)>& sink);

}  // namespace rimebench
