#include <array>

#include "firmware_sim/wire/cobs.hpp"
#include "harness/conformance/checks.hpp"

namespace rimebench {

namespace {

constexpr Refusing kDamaged{Refusal::kDamaged, 0};
// Whether what is malformed is still a grant, with a number, is for the node to say.
constexpr Refusing kMalformed{Refusal::kMessage};

/// The next grant, to 1000 us further.
Bytes next_grant(const Probe& probe) {
  return framed(GrantMessage{probe.seq(), probe.reached() + Duration{1'000}, kNoFeedback, {}});
}

Bytes stuffed(const Bytes& bytes) {
  Bytes frame(cobs_size_max(bytes.size()));
  frame.resize(cobs_encode(bytes, frame));
  frame.push_back(kDelimiter);
  return frame;
}

void checksum(const Bench& bench) {
  const auto probe = bench.greeted();
  // A grant that would be taken, but for its checksum.
  probe->expect_refusal(stuffed({0x03, 0x01, 0x0a, 0x00, 0x00, 0x12, 0x34}), kDamaged,
                        "a grant with a wrong checksum");
  probe->expect_unharmed("a grant with a wrong checksum");
}

void truncated(const Bench& bench) {
  const auto probe = bench.greeted();
  const Bytes whole = next_grant(*probe);
  for (std::size_t size = 1; size + 1 < whole.size(); ++size) {
    Bytes cut(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size));
    cut.push_back(kDelimiter);
    const std::string what =
        "the first " + std::to_string(size) + " bytes of a grant's " + std::to_string(whole.size());
    probe->expect_refusal(cut, kDamaged, what);
  }
  probe->expect_unharmed("frames cut short");
}

void oversized(const Bench& bench) {
  const auto probe = bench.greeted();
  for (const std::size_t size : {kFrameMax, std::size_t{5'000}, std::size_t{70'000}}) {
    Bytes frame(size, 0x55);
    frame.push_back(kDelimiter);
    const std::string what = std::to_string(size) + " bytes without an end of frame";
    probe->expect_refusal(frame, kDamaged, what);
    probe->expect_unharmed(what);
  }
}

void garbage(const Bench& bench) {
  const auto probe = bench.greeted();
  std::uint32_t state = 1;
  const auto random_byte = [&state] {
    state = state * 1'664'525U + 1'013'904'223U;
    return static_cast<std::uint8_t>(1 + (state >> 24U) % 255);
  };
  for (int i = 0; i < 200; ++i) {
    Bytes noise(1U + random_byte());
    for (std::uint8_t& byte : noise) byte = random_byte();
    noise.push_back(kDelimiter);
    probe->expect_refusal(noise, kDamaged, "noise " + std::to_string(i));
  }
  probe->expect_unharmed("noise");
}

void malformed(const Bench& bench) {
  const auto probe = bench.greeted();
  const auto refused = [&](const Bytes& payload, const std::string& what) {
    probe->expect_refusal(framed_payload(payload), kMalformed, what);
  };
  refused({0x42}, "a message of type 0x42");
  refused({0x04, 0x01, 0x0a}, "a reached, which only nodes send");
  refused({0x05, 0x00}, "a goodbye with a byte behind it");
  refused({0x01, 0x02}, "a hello without a nonce");
  refused({0x03, 0x01, 0x0a}, "a grant without a lookahead");
  refused({0x03, 0x01, 0x0a, 0x00}, "a grant that does not say what is watched");
  refused({0x03, 0x01, 0x0a, 0x00, 0x00, 0x00, 0x01}, "a grant whose change has no value");
  refused({0x03, 0x81, 0x00, 0x0a, 0x00, 0x00}, "a number in more bytes than it needs");
  refused({0x03, 0x01, 0x0a, 0x00, 0x00, 0x00, 0x80, 0x80, 0x04, 0x00}, "a channel above 65535");
  refused({0x03, 0x01, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x08, 0x00, 0x00}, "a time of 2^45 us");
  probe->expect_unharmed("malformed messages");
}

void empty(const Bench& bench) {
  const auto probe = bench.greeted();
  probe->send(Bytes(1'000, kDelimiter));
  probe->expect_unharmed("a thousand empty frames");
}

void pause(const Bench& bench) {
  const auto probe = bench.greeted();
  const Bytes whole = next_grant(*probe);
  const std::span<const std::uint8_t> bytes(whole);
  probe->send(bytes.first(4));
  probe->expect_quiet("half a grant");
  probe->send(bytes.subspan(4));
  ChangeBuffer changes;
  const auto payload = probe->receive("a grant in two halves");
  require(decode_reached(payload, changes).has_value(),
          "a grant in two halves: the answer is " + description(payload));
}

constexpr std::array kChecks{
    Check{"checksum", "a frame with a wrong checksum is refused as damaged", checksum},
    Check{"truncated", "a frame cut short is refused as damaged, wherever it is cut", truncated},
    Check{"oversized", "an endless frame is refused once, and the next one is taken", oversized},
    Check{"garbage", "noise is refused frame by frame and does no harm", garbage},
    Check{"malformed", "an intact frame that is no message for a node is refused", malformed},
    Check{"empty", "empty frames are ignored", empty},
    Check{"pause", "a bench that pauses, even within a frame, is waited for", pause},
};

}  // namespace

std::span<const Check> frame_checks() { return kChecks; }

}  // namespace rimebench
