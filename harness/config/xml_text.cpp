#include "harness/config/xml_text.hpp"

#include "harness/config/text_file.hpp"

namespace rimebench {

namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";

/// Of one character; XML's production 2.
bool forbidden(std::string_view character) {
  const auto first = static_cast<unsigned char>(character.front());
  return first < 0x20 || character == "\xEF\xBF\xBE" || character == "\xEF\xBF\xBF";
}

std::string_view escaped(std::string_view character) {
  switch (character.front()) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\t':
      return "&#9;";
    case '\n':
      return "&#10;";
    case '\r':
      return "&#13;";
    default:
      return forbidden(character) ? kReplacement : character;
  }
}

}  // namespace

std::string xml_text(std::string_view text) {
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t size = utf8_length(text, at);
    result += size == 0 ? kReplacement : escaped(text.substr(at, size));
    at += size == 0 ? 1 : size;
  }
  return result;
}

}  // namespace rimebench
