#include "harness/intake/logged_number.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

namespace rimebench {

namespace {

bool digit(char c) { return '0' <= c && c <= '9'; }

/// The decimal mark in this text: '.' or ',' or 0 if it has none.
char decimal_of(std::string_view text, DecimalMark mark) {
  if (mark == DecimalMark::kPoint) return '.';
  if (mark == DecimalMark::kComma) return ',';
  const auto last = text.find_last_of(".,");
  if (last == std::string_view::npos) return '.';
  const char found = text[last];
  // A mark that comes twice parts groups.
  return std::count(text.begin(), text.end(), found) == 1 ? found : (found == '.' ? ',' : '.');
}

/// Digits without what parts their groups of three; nothing if it parts them otherwise.
std::optional<std::string> ungrouped(std::string_view digits) {
  std::string plain;
  std::size_t since = 0;
  bool grouped = false;
  for (const char c : digits) {
    if (digit(c)) {
      plain += c;
      ++since;
      continue;
    }
    const bool right = grouped ? since == 3 : 1 <= since && since <= 3;
    if (!right || (c != ' ' && c != '\'' && c != '.' && c != ',')) return std::nullopt;
    grouped = true;
    since = 0;
  }
  if (grouped && since != 3) return std::nullopt;
  return plain;
}

}  // namespace

std::optional<double> parse_logged(std::string_view text, DecimalMark mark) {
  std::string plain;
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    if (text.front() == '-') plain += '-';
    text.remove_prefix(1);
  }
  const std::size_t exponent = std::min(text.find_first_of("eE"), text.size());
  const std::string_view mantissa = text.substr(0, exponent);
  const std::size_t at = std::min(mantissa.find(decimal_of(mantissa, mark)), mantissa.size());
  const auto whole = ungrouped(mantissa.substr(0, at));
  if (!whole) return std::nullopt;
  plain += whole->empty() ? "0" : *whole;
  const std::string_view part = at < mantissa.size() ? mantissa.substr(at + 1) : "";
  if (!std::all_of(part.begin(), part.end(), digit) || (whole->empty() && part.empty())) {
    return std::nullopt;
  }
  if (!part.empty()) plain += "." + std::string(part);
  plain += text.substr(exponent);
  double value = 0.0;
  const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), value);
  if (error != std::errc{} || end != plain.data() + plain.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

bool may_be_grouped(std::string_view text) {
  if (!text.empty() && text.front() == '-') text.remove_prefix(1);
  const std::size_t mark = text.find_first_of(".,");
  if (mark == std::string_view::npos || mark < 1 || mark > 3 || text.size() != mark + 4) {
    return false;
  }
  if (text.front() == '0') return false;
  const auto only_digits = [](std::string_view part) {
    return std::all_of(part.begin(), part.end(), digit);
  };
  return only_digits(text.substr(0, mark)) && only_digits(text.substr(mark + 1));
}

}  // namespace rimebench
