#include "harness/intake/csv_fields.hpp"

namespace rimebench {

namespace {

constexpr std::string_view kNoBreakSpace = "\xC2\xA0";

/// Takes a field in quotes off the front of `rest`, up to the delimiter or the end.
std::string take_quoted(std::string_view& rest, char delimiter) {
  std::string field;
  rest.remove_prefix(1);
  while (!rest.empty()) {
    if (rest.front() != '"') {
      field += rest.front();
      rest.remove_prefix(1);
    } else if (rest.size() > 1 && rest[1] == '"') {
      field += '"';
      rest.remove_prefix(2);
    } else {
      break;
    }
  }
  rest.remove_prefix(std::min(rest.find(delimiter), rest.size()));
  return field;
}

}  // namespace

const std::string& field_at(const std::vector<std::string>& fields, int column) {
  static const std::string kNone;
  const auto index = static_cast<std::size_t>(column);
  return column >= 0 && index < fields.size() ? fields[index] : kNone;
}

std::string_view trimmed(std::string_view text) {
  for (;;) {
    if (text.starts_with(kNoBreakSpace)) {
      text.remove_prefix(2);
    } else if (text.ends_with(kNoBreakSpace)) {
      text.remove_suffix(2);
    } else if (!text.empty() && (text.front() == ' ' || text.front() == '\t')) {
      text.remove_prefix(1);
    } else if (!text.empty() && (text.back() == ' ' || text.back() == '\t')) {
      text.remove_suffix(1);
    } else {
      return text;
    }
  }
}

std::string lowered(std::string_view text) {
  std::string low(text);
  for (char& c : low) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return low;
}

void split_fields(std::string_view line, char delimiter, std::vector<std::string>& fields) {
  fields.clear();
  for (std::string_view rest = line;;) {
    while (!rest.empty() && rest.front() == ' ' && delimiter != ' ') rest.remove_prefix(1);
    if (!rest.empty() && rest.front() == '"') {
      fields.emplace_back(trimmed(take_quoted(rest, delimiter)));
    } else {
      const std::string_view field = rest.substr(0, rest.find(delimiter));
      fields.emplace_back(trimmed(field));
      rest.remove_prefix(field.size());
    }
    if (rest.empty()) return;
    rest.remove_prefix(1);
  }
}

}  // namespace rimebench
