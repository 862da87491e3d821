#include "harness/report/svg_text.hpp"

#include "harness/config/text_file.hpp"

namespace rimebench {

std::string svg_escaped(const std::string& text) {
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t size = utf8_length(text, at);
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
