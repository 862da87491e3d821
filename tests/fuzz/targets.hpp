#pragma once

/// Everything that reads what came from outside, fed with any bytes at all. Each target returns if
/// the bytes were dealt with and panics if a promise was broken. libFuzzer calls one of them
/// (engine/libfuzzer.cpp, CMake option RIMEBENCH_FUZZ); replay.cpp feeds all of corpus/ to them in
/// every build.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "firmware_sim/wire/varint.hpp"

namespace rimebench::fuzz {

using Input = std::span<const std::uint8_t>;

void frame_decoder(Input bytes);
void messages_node_side(Input bytes);
void messages_bench_side(Input bytes);
void paced_node_side(Input bytes);
void paced_bench_side(Input bytes);
void scenario_text(Input bytes);
void csv_text(Input bytes);
void trace_file(Input bytes);
void speed_log(Input bytes);
void value_dump(Input bytes);
void level_table(Input bytes);
void choices_file(Input bytes);
void session_archive(Input bytes);

struct Target {
  std::string name;  ///< of its source file and of its folder in corpus/
  void (*run)(Input bytes);
};

inline std::vector<Target> targets() {
  return {{"frame_decoder", frame_decoder},
          {"messages_node_side", messages_node_side},
          {"messages_bench_side", messages_bench_side},
          {"paced_node_side", paced_node_side},
          {"paced_bench_side", paced_bench_side},
          {"scenario_text", scenario_text},
          {"csv_text", csv_text},
          {"trace_file", trace_file},
          {"speed_log", speed_log},
          {"value_dump", value_dump},
          {"level_table", level_table},
          {"choices_file", choices_file},
          {"session_archive", session_archive}};
}

/// Takes the input apart: a byte of choice, then pieces that begin with their length in two bytes.
class Pieces {
 public:
  explicit Pieces(Input bytes) : rest_(bytes) {}

  bool done() const { return rest_.empty(); }
  std::uint8_t byte() {
    if (rest_.empty()) return 0;
    const std::uint8_t value = rest_.front();
    rest_ = rest_.subspan(1);
    return value;
  }
  /// At most `most` bytes; what is left if the length says more.
  Input piece(std::size_t most) {
    std::size_t size = byte();
    size |= static_cast<std::size_t>(byte()) << 8U;
    const Input taken = rest_.first(std::min({size, most, rest_.size()}));
    rest_ = rest_.subspan(taken.size());
    return taken;
  }

 private:
  Input rest_;
};

/// What travels next: a piece in a whole frame, or, where the byte before it is odd, as it is.
inline std::vector<std::uint8_t> next_on_the_wire(Pieces& pieces) {
  const bool raw = pieces.byte() % 2 == 1;
  const Input piece = pieces.piece(raw ? 4'096 : kPayloadMax);
  if (raw || piece.empty()) return {piece.begin(), piece.end()};
  Payload payload;
  for (const std::uint8_t byte : piece) put_byte(payload, byte);
  FrameBuffer buffer;
  const auto frame = encode_frame(payload, buffer);
  return {frame.begin(), frame.end()};
}

}  // namespace rimebench::fuzz
