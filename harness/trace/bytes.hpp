#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

/// Numbers and texts as bytes, field by field and little-endian, so that a file is the same
/// whatever machine wrote it.
namespace rimebench {

using Bytes = std::vector<std::uint8_t>;

/// Writes an integer to `to`, which has room for it.
template <class Integer>
constexpr void store_little_endian(std::uint8_t* to, Integer value) {
  const auto bits = static_cast<std::make_unsigned_t<Integer>>(value);
  for (std::size_t i = 0; i < sizeof(Integer); ++i) {
    to[i] = static_cast<std::uint8_t>(bits >> (8 * i));
  }
}

template <class Integer>
constexpr Integer load_little_endian(const std::uint8_t* from) {
  std::make_unsigned_t<Integer> bits = 0;
  for (std::size_t i = 0; i < sizeof(Integer); ++i) {
    bits = static_cast<std::make_unsigned_t<Integer>>(
        bits | static_cast<std::make_unsigned_t<Integer>>(from[i]) << (8 * i));
  }
  return static_cast<Integer>(bits);
}

template <class Integer>
void append(Bytes& bytes, Integer value) {
  bytes.resize(bytes.size() + sizeof(Integer));
  store_little_endian(bytes.data() + bytes.size() - sizeof(Integer), value);
}

/// A text: its length as a uint32, then its bytes.
inline void append_text(Bytes& bytes, std::string_view text) {
  append(bytes, static_cast<std::uint32_t>(text.size()));
  bytes.insert(bytes.end(), text.begin(), text.end());
}

inline constexpr std::size_t kCompactBytesMax = 10;

/// A signed number in as few bytes as it needs: the sign moves to the lowest bit (0, -1, 1, -2 ...
/// become 0, 1, 2, 3 ...), then seven bits a byte, least first, the top bit set in all but the
/// last. Returns the place after it; there is room for kCompactBytesMax.
constexpr std::uint8_t* store_compact(std::uint8_t* to, std::int64_t value) {
  auto bits = static_cast<std::uint64_t>(value) << 1;
  if (value < 0) bits = ~bits;
  while (bits >= 0x80) {
    *to++ = static_cast<std::uint8_t>(bits | 0x80);
    bits >>= 7;
  }
  *to++ = static_cast<std::uint8_t>(bits);
  return to;
}

/// Takes numbers and texts from a span in the order they were appended; nothing once it is short.
class ByteReader {
 public:
  explicit ByteReader(std::span<const std::uint8_t> bytes) : rest_(bytes) {}

  bool at_end() const { return rest_.empty(); }
  std::size_t bytes_left() const { return rest_.size(); }

  template <class Integer>
  std::optional<Integer> take() {
    if (rest_.size() < sizeof(Integer)) return std::nullopt;
    const auto value = load_little_endian<Integer>(rest_.data());
    rest_ = rest_.subspan(sizeof(Integer));
    return value;
  }

  std::optional<std::string> take_text() {
    const auto length = take<std::uint32_t>();
    if (!length || rest_.size() < *length) return std::nullopt;
    std::string text(rest_.begin(), rest_.begin() + static_cast<std::ptrdiff_t>(*length));
    rest_ = rest_.subspan(*length);
    return text;
  }

  std::optional<std::int64_t> take_compact() {
    std::uint64_t bits = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
      const auto byte = take<std::uint8_t>();
      if (!byte) return std::nullopt;
      bits |= static_cast<std::uint64_t>(*byte & 0x7f) << shift;
      if ((*byte & 0x80) == 0) {
        const std::uint64_t magnitude = bits >> 1;
        return static_cast<std::int64_t>((bits & 1) != 0 ? ~magnitude : magnitude);
      }
    }
    return std::nullopt;
  }

 private:
  std::span<const std::uint8_t> rest_;
};

}  // namespace rimebench
