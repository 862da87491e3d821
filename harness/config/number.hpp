#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace rimebench {

/// Whole numbers as files may write them: digits, perhaps with a minus sign, no leading zeros. On
/// nullopt `problem` says what is wrong.
std::optional<std::int64_t> parse_whole(std::string_view text, std::string& problem);

/// Finite decimal numbers with a point, perhaps with an exponent; the same in every locale.
std::optional<double> parse_real(std::string_view text, std::string& problem);

/// Seeds: whole numbers from 0 to 2^64 - 1.
std::optional<std::uint64_t> parse_seed(std::string_view text, std::string& problem);

/// The shortest text that reads back as the same number; whole numbers without point or exponent.
std::string number_text(double value);

}  // namespace rimebench
