#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/wire/frame.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::fuzz {

namespace {

/// Whatever bytes are stuffed come back, and none of them is the delimiter.
void stuff_and_back(Input bytes) {
  test::Bytes stuffed(cobs_size_max(bytes.size()));
  stuffed.resize(cobs_encode(bytes, stuffed));
  for (const std::uint8_t byte : stuffed) DEMAND(byte != kDelimiter);
  const auto size = cobs_decode(stuffed, stuffed);
  DEMAND(size.has_value());
  DEMAND(std::equal(bytes.begin(), bytes.end(), stuffed.begin(),
                    stuffed.begin() + static_cast<std::ptrdiff_t>(*size)));
}

}  // namespace

void frame_decoder(Input bytes) {
  FrameReader reader;
  std::size_t ends = 0;
  for (const std::uint8_t byte : bytes) {
    const FrameEvent event = reader.add(byte);
    DEMAND((event == FrameEvent::kMore) == (byte != kDelimiter));
    ends += event == FrameEvent::kMore || event == FrameEvent::kFrame ? 0 : 1;
    if (event != FrameEvent::kFrame) continue;
    const auto payload = reader.payload();
    DEMAND(!payload.empty() && payload.size() <= kPayloadMax);
    // A payload makes a frame that brings it back.
    const test::Bytes sent(payload.begin(), payload.end());
    FrameReader again;
    DEMAND(test::feed(again, test::frame_of(sent)) == std::vector{FrameEvent::kFrame});
    DEMAND(std::equal(sent.begin(), sent.end(), again.payload().begin(), again.payload().end()));
  }
  const FrameErrors& errors = reader.errors();
  DEMAND(ends ==
         errors.empty + errors.oversized + errors.stuffing + errors.too_short + errors.checksum);
  stuff_and_back(bytes.first(std::min(bytes.size(), kPayloadMax)));
}

}  // namespace rimebench::fuzz
