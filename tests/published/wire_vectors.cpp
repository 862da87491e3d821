#include <doctest/doctest.h>

#include <array>
#include <cstdint>
#include <utility>
#include <vector>

#include "firmware_sim/contract/crc.hpp"
#include "firmware_sim/wire/cobs.hpp"
#include "firmware_sim/wire/crc16.hpp"

using namespace rimebench;

namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes stuffed(const Bytes& plain) {
  Bytes out(cobs_size_max(plain.size()));
  out.resize(cobs_encode(plain, out));
  return out;
}

Bytes unstuffed(const Bytes& bytes) {
  Bytes out(bytes.size());
  const auto size = cobs_decode(bytes, out);
  REQUIRE(size);
  out.resize(*size);
  return out;
}

/// `head`, then every byte value from `first` to `last`, then `tail`.
Bytes run(const Bytes& head, int first, int last, const Bytes& tail) {
  Bytes bytes = head;
  for (int value = first; value <= last; ++value) bytes.push_back(static_cast<std::uint8_t>(value));
  bytes.insert(bytes.end(), tail.begin(), tail.end());
  return bytes;
}

constexpr std::array<std::uint8_t, 9> kDigits{'1', '2', '3', '4', '5', '6', '7', '8', '9'};

}  // namespace

// Cheshire and Baker, Consistent Overhead Byte Stuffing, IEEE/ACM Trans. Networking 7 (1999) 159.
// The row of the IP header is the paper's figure, from memory and recomputed; the rest was seen in
// public test suites.
TEST_CASE("wire: byte stuffing gives the published vectors and takes them back [cobs_vectors]") {
  const std::vector<std::pair<Bytes, Bytes>> vectors{
      {{}, {0x01}},
      {{0x00}, {0x01, 0x01}},
      {{0x00, 0x00}, {0x01, 0x01, 0x01}},
      {{0x00, 0x11, 0x00}, {0x01, 0x02, 0x11, 0x01}},
      {{0x11, 0x22, 0x00, 0x33}, {0x03, 0x11, 0x22, 0x02, 0x33}},
      {{0x11, 0x22, 0x33, 0x44}, {0x05, 0x11, 0x22, 0x33, 0x44}},
      {{0x11, 0x00, 0x00, 0x00}, {0x02, 0x11, 0x01, 0x01, 0x01}},
      {{0x45, 0x00, 0x00, 0x2c, 0x4c, 0x79, 0x00, 0x00, 0x40, 0x06, 0x4f, 0x37},
       {0x02, 0x45, 0x01, 0x04, 0x2c, 0x4c, 0x79, 0x01, 0x05, 0x40, 0x06, 0x4f, 0x37}},
      {run({}, 0x01, 0xfe, {}), run({0xff}, 0x01, 0xfe, {})},
      {run({}, 0x00, 0xfe, {}), run({0x01, 0xff}, 0x01, 0xfe, {})},
      {run({}, 0x01, 0xff, {}), run({0xff}, 0x01, 0xfe, {0x02, 0xff})},
      {run({}, 0x02, 0xff, {0x00}), run({0xff}, 0x02, 0xff, {0x01, 0x01})},
      {run({}, 0x03, 0xff, {0x00, 0x01}), run({0xfe}, 0x03, 0xff, {0x02, 0x01})},
  };
  for (const auto& [plain, expected] : vectors) {
    CHECK(stuffed(plain) == expected);
    CHECK(unstuffed(expected) == plain);
  }
}

TEST_CASE("wire: a full last block may be followed by an empty one or not [cobs_vectors]") {
  const Bytes plain = run({}, 0x01, 0xfe, {});
  CHECK(unstuffed(run({0xff}, 0x01, 0xfe, {0x01})) == plain);
}

// Cheshire and Baker 1999: one byte more for every 254 begun.
TEST_CASE("wire: bytes without a zero grow by one in 254, rounded up [cobs_overhead]") {
  constexpr std::array<std::size_t, 5> kSizes{1, 254, 255, 508, 1000};
  constexpr std::array<std::size_t, 5> kOverheads{1, 1, 2, 2, 4};
  for (std::size_t i = 0; i < kSizes.size(); ++i) {
    CHECK(stuffed(Bytes(kSizes[i], 0x55)).size() == kSizes[i] + kOverheads[i]);
    CHECK(cobs_size_max(kSizes[i]) == kSizes[i] + kOverheads[i]);
  }
}

// G. Cook, Catalogue of parametrised CRC algorithms: the check values of "123456789".
TEST_CASE("wire: the frame checksum of the nine digits is 0x29B1 [crc16_ibm3740]") {
  CHECK(crc16(kDigits) == 10673);
}

TEST_CASE("contract: the recipe checksum of the nine digits is 0xCBF43926 [crc32_iso_hdlc]") {
  CHECK(crc32(kDigits) == 3421780262U);
}
