#pragma once

/// Columns of whole numbers as a page can hold a quarter of a million rows of: each in the
/// narrowest type that fits, deflated, as base64 text.

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace rimebench {

/// In a column: there is no number here.
inline constexpr std::int64_t kNoNumber = std::numeric_limits<std::int64_t>::min();

struct ColumnForm {
  std::string name;
  std::string label{};          ///< for people
  std::string quantity{};       ///< of the number times `scale`; empty: a plain number
  std::optional<int> digits{};  ///< decimals in that unit
  double scale{1.0};
  bool delta{false};  ///< each number is stored as its difference to the one before, from 0 on
  std::string null_means{};
  std::vector<std::string> words{};  ///< the number is an index into these
  std::vector<std::string> bits{};   ///< or a set of these, the first is bit 0
};

/// How a column is stored.
struct StoredColumn {
  ColumnForm form;
  const char* type{};    ///< i8, u8, i16, u16, i32, u32 or f64, little-endian
  bool has_null{false};  ///< `null` stands for kNoNumber
  std::int64_t null{};   ///< as stored
};

class PackedColumns {
 public:
  /// Appends a column. A column with kNoNumber in it is stored as it is, never as differences.
  void add(ColumnForm form, std::span<const std::int64_t> values);

  const std::vector<StoredColumn>& columns() const { return columns_; }
  /// All columns one after another without padding, deflated (RFC 1950), in base64 (RFC 4648).
  std::string data() const;

 private:
  std::vector<StoredColumn> columns_;
  std::vector<std::uint8_t> bytes_;
};

/// RFC 4648, section 4, with padding.
std::string base64(std::span<const std::uint8_t> bytes);

}  // namespace rimebench
