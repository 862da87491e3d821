#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace rimebench {

/// The decimal mark of a column; kBoth: whichever a row has, since some logs mix them.
enum class DecimalMark : std::uint8_t { kPoint, kComma, kBoth };

/// A number as loggers write it: a sign, digits in groups of three parted by blanks, apostrophes or
/// the mark that is not the decimal one, a decimal mark, an exponent. Nothing if it is none.
std::optional<double> parse_logged(std::string_view text, DecimalMark mark);

/// True for one mark with exactly three digits behind it and one to three before it: 1,234 may be
/// 1234 or 1.234.
bool may_be_grouped(std::string_view text);

}  // namespace rimebench
