#include "harness/cli/shell_word.hpp"

#include <algorithm>
#include <cctype>
#include <cstring>

namespace rimebench {

std::string shell_word(const std::string& text) {
  const auto plain = [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || std::strchr("_./:,+-", c) != nullptr;
  };
  if (!text.empty() && std::ranges::all_of(text, plain)) return text;
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

}  // namespace rimebench
