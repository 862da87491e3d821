#include "harness/report/packed_columns.hpp"

#include <zlib.h>

#include <algorithm>
#include <bit>
#include <stdexcept>
#include <utility>

namespace rimebench {

namespace {

struct StoredType {
  const char* name;
  int bytes;
  std::int64_t least;
  std::int64_t most;
};

template <class Number>
constexpr StoredType stored_type(const char* name) {
  return {name, sizeof(Number), std::numeric_limits<Number>::min(),
          std::numeric_limits<Number>::max()};
}

/// Narrowest first.
constexpr StoredType kTypes[] = {
    stored_type<std::uint8_t>("u8"),   stored_type<std::int8_t>("i8"),
    stored_type<std::uint16_t>("u16"), stored_type<std::int16_t>("i16"),
    stored_type<std::uint32_t>("u32"), stored_type<std::int32_t>("i32"),
};
/// Holds every whole number up to 2^53 exactly.
constexpr StoredType kDouble{"f64", 8, -(std::int64_t{1} << 53), std::int64_t{1} << 53};

/// The first type that holds them, and beside them one number more if there is a null to store.
StoredType narrowest(std::int64_t least, std::int64_t most, bool has_null) {
  for (const StoredType& type : kTypes) {
    if (type.least <= least && most <= type.most - (has_null ? 1 : 0)) return type;
  }
  return kDouble;
}

void append(std::vector<std::uint8_t>& bytes, const StoredType& type, std::int64_t value) {
  auto bits = static_cast<std::uint64_t>(value);
  if (type.name == kDouble.name) bits = std::bit_cast<std::uint64_t>(static_cast<double>(value));
  for (int i = 0; i < type.bytes; ++i) {
    bytes.push_back(static_cast<std::uint8_t>(bits & 0xff));
    bits >>= 8;
  }
}

}  // namespace

void PackedColumns::add(ColumnForm form, std::span<const std::int64_t> values) {
  const bool has_null = std::ranges::find(values, kNoNumber) != values.end();
  if (has_null) form.delta = false;
  std::int64_t least = 0, most = 0, before = 0;
  for (const std::int64_t value : values) {
    if (value == kNoNumber) continue;
    const std::int64_t stored = form.delta ? value - before : value;
    least = std::min(least, stored);
    most = std::max(most, stored);
    before = value;
  }
  const StoredType type = narrowest(least, most, has_null);
  columns_.push_back({std::move(form), type.name, has_null, has_null ? type.most : 0});
  bytes_.reserve(bytes_.size() + values.size() * static_cast<std::size_t>(type.bytes));
  before = 0;
  for (const std::int64_t value : values) {
    const std::int64_t known = value == kNoNumber ? type.most : value;
    append(bytes_, type, columns_.back().form.delta ? known - before : known);
    before = known;
  }
}

std::string PackedColumns::data() const {
  uLongf size = compressBound(static_cast<uLong>(bytes_.size()));
  std::vector<std::uint8_t> packed(size);
  if (compress2(packed.data(), &size, bytes_.data(), static_cast<uLong>(bytes_.size()),
                Z_BEST_COMPRESSION) != Z_OK) {
    throw std::runtime_error("the report's columns cannot be packed");
  }
  packed.resize(size);
  return base64(packed);
}

std::string base64(std::span<const std::uint8_t> bytes) {
  constexpr std::string_view kDigits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t at = 0; at < bytes.size(); at += 3) {
    const std::size_t given = std::min<std::size_t>(3, bytes.size() - at);
    std::uint32_t bits = 0;
    for (std::size_t i = 0; i < 3; ++i) bits = bits << 8 | (i < given ? bytes[at + i] : 0U);
    for (std::size_t i = 0; i < 4; ++i) {
      text += i <= given ? kDigits[bits >> (18 - 6 * i) & 63U] : '=';
    }
  }
  return text;
}

}  // namespace rimebench
