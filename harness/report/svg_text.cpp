#include "harness/report/svg_text.hpp"

namespace rimebench {

namespace {

bool continues(const std::string& text, std::size_t at, std::size_t count) {
  if (at + count >= text.size()) return false;
  for (std::size_t i = 1; i <= count; ++i) {
    if ((static_cast<unsigned char>(text[at + i]) & 0xC0U) != 0x80U) return false;
  }
  return true;
}

/// Bytes of the UTF-8 character at `at`; 0 if there is none.
std::size_t utf8_size(const std::string& text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  if (lead < 0x80) return 1;
  const std::size_t more = lead < 0xC2   ? 0
                           : lead < 0xE0 ? 1
                           : lead < 0xF0 ? 2
                           : lead < 0xF5 ? 3
                                         : 0;
  return more > 0 && continues(text, at, more) ? more + 1 : 0;
}

}  // namespace

std::string svg_escaped(const std::string& text) {
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t size = utf8_size(text, at);
    const char c = text[at];
    if (size == 0 || (static_cast<unsigned char>(c) < 0x20 && c != '\t' && c != '\n')) {
      result += "\xEF\xBF\xBD";
    } else if (c == '&') {
      result += "&amp;";
    } else if (c == '<') {
      result += "&lt;";
    } else if (c == '"') {
      result += "&quot;";
    } else {
      result.append(text, at, size);
    }
    at += size == 0 ? 1 : size;
  }
  return result;
}

}  // namespace rimebench
