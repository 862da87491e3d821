#include "harness/config/text_file.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <system_error>

namespace rimebench {

std::size_t utf8_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned first = byte(at);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xf0 ? 4 : (first >= 0xe0 ? 3 : 2);
  if (first < 0xc2 || first > 0xf4 || at + length > text.size()) return 0;
  // Longer than it need be, half of a surrogate pair, or beyond U+10FFFF (RFC 3629, section 4).
  const unsigned second = byte(at + 1);
  if ((first == 0xe0 && second < 0xa0) || (first == 0xed && second > 0x9f)) return 0;
  if ((first == 0xf0 && second < 0x90) || (first == 0xf4 && second > 0x8f)) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xc0U) != 0x80U) return 0;
  }
  return length;
}

std::string text_problem(const std::string& text) {
  if (text.size() > kFileBytesMax) return "larger than 16 MiB";
  for (std::size_t at = 0; at < text.size();) {
    const auto first = static_cast<unsigned char>(text[at]);
    const bool control = first < 0x20 && first != '\t' && first != '\n' && first != '\r';
    const std::size_t length = control ? 0 : utf8_length(text, at);
    if (length == 0) return "not a text file (UTF-8): byte " + std::to_string(at + 1);
    at += length;
  }
  return "";
}

std::optional<std::string> read_text_file(const std::string& path, std::string& problem) {
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(path, error);
  if (!std::filesystem::exists(status)) {
    problem = "no such file";
    return std::nullopt;
  }
  if (!std::filesystem::is_regular_file(status)) {
    problem = "not a regular file";
    return std::nullopt;
  }
  if (std::filesystem::file_size(path, error) > kFileBytesMax) {
    problem = "larger than 16 MiB";
    return std::nullopt;
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  if (file.peek() != std::ifstream::traits_type::eof()) content << file.rdbuf();
  if (file.bad() || !file.is_open()) {
    problem = "cannot be read";
    return std::nullopt;
  }
  std::string text = content.str();
  problem = text_problem(text);
  if (!problem.empty()) return std::nullopt;
  return text;
}

bool quote_is_closed(const std::string& text, int line, int column) {
  if (text.empty() || line < 1) return true;
  std::size_t at = 0;
  for (int skipped = 1; skipped < line && at < text.size(); ++skipped) {
    at = std::min(text.find('\n', at), text.size() - 1) + 1;
  }
  at += static_cast<std::size_t>(column) - 1;
  if (at >= text.size() || (text[at] != '"' && text[at] != '\'')) return true;
  const char quote = text[at];
  for (++at; at < text.size(); ++at) {
    if (quote == '"' && text[at] == '\\') {
      ++at;
    } else if (text[at] == quote && quote == '\'' && at + 1 < text.size() &&
               text[at + 1] == quote) {
      ++at;
    } else if (text[at] == quote) {
      return true;
    }
  }
  return false;
}

}  // namespace rimebench
