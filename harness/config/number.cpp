#include "harness/config/number.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace rimebench {

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }

/// Takes digits from the front; false if there were none.
bool take_digits(std::string_view& rest) {
  const std::size_t before = rest.size();
  while (!rest.empty() && digit(rest.front())) rest.remove_prefix(1);
  return rest.size() < before;
}

bool take_sign(std::string_view& rest, std::string_view signs) {
  if (rest.empty() || signs.find(rest.front()) == std::string_view::npos) return false;
  rest.remove_prefix(1);
  return true;
}

enum class Shape { kWhole, kReal, kLeadingZero, kNotFinite, kNone };

bool not_finite(std::string_view text) {
  std::string lower;
  for (const char c : text) {
    if (c != '.' && c != '-' && c != '+') lower += static_cast<char>(c | 0x20);
  }
  return lower == "nan" || lower == "inf" || lower == "infinity";
}

Shape shape_of(std::string_view text) {
  std::string_view rest = text;
  take_sign(rest, "-");
  const bool leading_zero = rest.size() > 1 && rest[0] == '0' && digit(rest[1]);
  if (!take_digits(rest)) return not_finite(text) ? Shape::kNotFinite : Shape::kNone;
  bool whole = true;
  if (take_sign(rest, ".")) {
    whole = false;
    if (!take_digits(rest)) return Shape::kNone;
  }
  if (take_sign(rest, "eE")) {
    whole = false;
    take_sign(rest, "+-");
    if (!take_digits(rest)) return Shape::kNone;
  }
  if (!rest.empty()) return Shape::kNone;
  if (leading_zero) return Shape::kLeadingZero;
  return whole ? Shape::kWhole : Shape::kReal;
}

std::string shape_problem(Shape shape, std::string_view text, const char* wanted) {
  const std::string shown{text};
  switch (shape) {
    case Shape::kLeadingZero:
      return shown + " has a leading zero, which some programs read as octal";
    case Shape::kNotFinite:
      return shown + " is not a finite number";
    case Shape::kWhole:
    case Shape::kReal:
    case Shape::kNone:
      break;
  }
  return shown + " is not " + wanted;
}

template <class Whole>
std::optional<Whole> parse_integer(std::string_view text, std::string& problem) {
  const Shape shape = shape_of(text);
  if (shape != Shape::kWhole) {
    problem = shape_problem(shape, text, "a whole number");
    return std::nullopt;
  }
  Whole value{};
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  if (result.ec == std::errc{}) return value;
  problem = std::string{text} + " is out of range";
  return std::nullopt;
}

}  // namespace

std::optional<std::int64_t> parse_whole(std::string_view text, std::string& problem) {
  return parse_integer<std::int64_t>(text, problem);
}

std::optional<std::uint64_t> parse_seed(std::string_view text, std::string& problem) {
  return parse_integer<std::uint64_t>(text, problem);
}

std::optional<double> parse_real(std::string_view text, std::string& problem) {
  const Shape shape = shape_of(text);
  if (shape != Shape::kWhole && shape != Shape::kReal) {
    problem = shape_problem(shape, text, "a number");
    return std::nullopt;
  }
  double value{};
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  if (result.ec == std::errc{} && std::isfinite(value)) return value;
  problem = std::string{text} + " is out of range";
  return std::nullopt;
}

std::string number_text(double value) {
  constexpr double kWholeMax = 1e15;
  std::array<char, 64> text{};
  char* const end = text.data() + text.size();
  const bool whole = std::abs(value) < kWholeMax && value == std::trunc(value);
  const auto result = whole ? std::to_chars(text.data(), end, static_cast<std::int64_t>(value))
                            : std::to_chars(text.data(), end, value);
  return {text.data(), result.ptr};
}

}  // namespace rimebench
