#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace rimebench {

/// No file of a scenario is larger, nor is the text of a resolved one.
inline constexpr std::size_t kFileBytesMax = 16U << 20U;

/// The whole of a text file. On nullopt `problem` says why it is not to be had.
std::optional<std::string> read_text_file(const std::string& path, std::string& problem);

/// Bytes of the UTF-8 character that starts at `at`; 0 if none does or the text ends within it.
std::size_t utf8_length(std::string_view text, std::size_t at);

/// Why this is not text that a scenario can be read from; empty if it is.
std::string text_problem(const std::string& text);

/// False if a quote opens at this line and column (from 1) and is not closed before the text ends.
bool quote_is_closed(const std::string& text, int line, int column);

}  // namespace rimebench
