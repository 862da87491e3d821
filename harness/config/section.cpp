#include "harness/config/section.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "harness/config/edit_distance.hpp"
#include "harness/config/number.hpp"

namespace rimebench {

std::string range_text(const NumberKey& key) {
  if (key.kind == NumberKind::kBoolean) return "true, false";
  const std::string unit = key.unit;
  const std::string range = number_text(key.min) + ".." + number_text(key.max);
  return unit.empty() || unit == "1" ? range : range + ' ' + unit;
}

void assign(std::int64_t& member, const Number& n, std::int64_t scale) {
  member = scale == 1 ? n.whole : std::llround(n.real * static_cast<double>(scale));
}

void Reading::problem_at(const std::string& path, const std::string& text) {
  findings_.add(places_.at(path).mark, path, text);
}

void Reading::remember(const std::string& path, const Mark& mark, bool good) {
  places_[path] = {mark, good};
}

bool Reading::good(std::initializer_list<const char*> paths) const {
  return std::all_of(paths.begin(), paths.end(), [&](const char* path) {
    const auto place = places_.find(path);
    return place != places_.end() && place->second.good;
  });
}

std::string Reading::line_of(const std::string& path) const {
  const Mark& mark = places_.at(path).mark;
  return findings_.file_name(mark.file) + ':' + std::to_string(mark.line);
}

namespace {

std::string valid(const std::string& what, const char* doc) {
  return " (valid: " + what + "; " + doc + ')';
}

/// Says that a value is of another kind than the one wanted.
std::string wrong_kind(const Value& value, const std::string& wanted) {
  return std::string(kind_name(value.kind)) + ", not " + wanted;
}

/// A boolean, or the number without its range checked.
std::optional<Number> parse_number(const Value& value, NumberKind kind, std::string& problem) {
  const bool boolean = kind == NumberKind::kBoolean;
  if (value.kind != Value::Kind::kScalar) {
    problem = wrong_kind(value, boolean ? "true or false" : "a number");
    return std::nullopt;
  }
  if (value.quoted) {
    problem = quoted(value.text) + " is text: write it without quotes";
    return std::nullopt;
  }
  if (boolean) {
    if (value.text == "true") return Number{1.0, 1};
    if (value.text == "false") return Number{0.0, 0};
    problem = value.text + " is not true or false";
    return std::nullopt;
  }
  if (kind == NumberKind::kReal) {
    const std::optional<double> real = parse_real(value.text, problem);
    if (!real) return std::nullopt;
    return Number{*real, 0};
  }
  const std::optional<std::int64_t> whole = parse_whole(value.text, problem);
  if (!whole) return std::nullopt;
  return Number{static_cast<double>(*whole), *whole};
}

}  // namespace

std::optional<Number> read_number(Reading& reading, const Value& value, const std::string& path,
                                  const NumberKey& key) {
  std::string problem;
  std::optional<Number> number = parse_number(value, key.kind, problem);
  if (number && !(key.min <= number->real && number->real <= key.max)) {
    const bool below = number->real < key.min;
    problem =
        value.text + (below ? " is below " : " is above ") + number_text(below ? key.min : key.max);
    number.reset();
  }
  if (!number) reading.problem(value.mark, path, problem + valid(range_text(key), key.doc));
  return number;
}

Section::Section(Reading& reading, const Value& map, std::string path)
    : reading_(reading), map_(map), path_(std::move(path)) {}

const Value* Section::find(const char* key, bool required) {
  known_.emplace_back(key);
  const Value* const value = map_.find(key);
  if (value == nullptr && required) missing_.emplace_back(key);
  reading_.remember(path_of(key), value != nullptr ? value->mark : map_.mark, false);
  return value;
}

std::optional<Section> Section::child(const char* key, bool required) {
  const Value* const value = find(key, required);
  if (value == nullptr) return std::nullopt;
  if (value->kind != Value::Kind::kMap) {
    reading_.problem(value->mark, path_of(key), wrong_kind(*value, "a map of keys"));
    return std::nullopt;
  }
  Section section(reading_, *value, path_of(key));
  section.nested_ = true;
  reading_.remember(path_of(key), value->mark, true);
  reading_.resolved().open(key);
  return section;
}

std::optional<Number> Section::number(const NumberKey& key) {
  const Value* const value = find(key.key, key.fallback == kMustBeGiven);
  const std::string path = path_of(key.key);
  if (value != nullptr) {
    const std::optional<Number> number = read_number(reading_, *value, path, key);
    reading_.remember(path, value->mark, number.has_value());
    if (number) reading_.resolved().value(key.key, value->text);
    return number;
  }
  if (key.fallback == kMustBeGiven) return std::nullopt;
  reading_.remember(path, map_.mark, !map_.incomplete);
  if (key.fallback == kMayBeAbsent) return std::nullopt;
  const bool boolean = key.kind == NumberKind::kBoolean;
  const std::string words = key.fallback != 0.0 ? "true" : "false";
  reading_.resolved().value(key.key, boolean ? words : number_text(key.fallback));
  return Number{key.fallback, std::llround(key.fallback)};
}

std::optional<std::string> Section::text(const PlainKey& key) {
  const Value* const value = find(key.key, key.fallback == nullptr);
  if (value == nullptr) {
    const bool left_out = key.fallback != nullptr && !map_.incomplete;
    reading_.remember(path_of(key.key), map_.mark, left_out);
    return std::nullopt;
  }
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20; };
  const bool one_line = value->kind == Value::Kind::kScalar && !value->text.empty() &&
                        std::none_of(value->text.begin(), value->text.end(), control);
  if (!one_line) {
    reading_.problem(value->mark, path_of(key.key), std::string("not ") + key.valid);
    return std::nullopt;
  }
  reading_.remember(path_of(key.key), value->mark, true);
  reading_.resolved().value(key.key, quoted(value->text));
  return value->text;
}

std::optional<int> Section::choice(const PlainKey& key, std::span<const char* const> words,
                                   bool numbers) {
  const Value* const value = find(key.key, key.fallback == nullptr);
  std::string text;
  if (value == nullptr) {
    if (key.fallback == nullptr) return std::nullopt;
    text = key.fallback;
  } else if (value->kind == Value::Kind::kScalar) {
    text = value->text;
  }
  const Mark& mark = value != nullptr ? value->mark : map_.mark;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const bool by_number = numbers && value != nullptr && !value->quoted;
    if (text != words[i] && !(by_number && text == std::to_string(i))) continue;
    reading_.remember(path_of(key.key), mark, true);
    reading_.resolved().value(key.key, words[i]);
    return static_cast<int>(i);
  }
  if (value == nullptr) {
    reading_.remember(path_of(key.key), mark, !map_.incomplete);
    return std::nullopt;
  }
  const bool scalar = value->kind == Value::Kind::kScalar;
  reading_.problem(
      mark, path_of(key.key),
      (scalar ? text + " is not known" : wrong_kind(*value, "a word")) + valid(key.valid, key.doc));
  return std::nullopt;
}

std::optional<std::span<const Value>> Section::list(const PlainKey& key) {
  const Value* const value = find(key.key, key.fallback == nullptr);
  if (value == nullptr) {
    if (key.fallback == nullptr) return std::nullopt;
    reading_.remember(path_of(key.key), map_.mark, !map_.incomplete);
    return std::span<const Value>{};
  }
  if (value->kind != Value::Kind::kList) {
    reading_.problem(value->mark, path_of(key.key),
                     wrong_kind(*value, "a list") + valid(key.valid, key.doc));
    return std::nullopt;
  }
  reading_.remember(path_of(key.key), value->mark, true);
  return std::span<const Value>{value->items};
}

void Section::report_unknown(const Value& item) {
  const std::string path = joined(path_, item.key);
  std::vector<std::string> absent = known_;
  std::erase_if(absent, [&](const std::string& key) { return map_.find(key) != nullptr; });
  std::optional<std::string> nearest = nearest_word(item.key, absent);
  if (!nearest) nearest = nearest_word(item.key, known_);
  std::string hint;
  if (nearest) {
    hint = " (nearest: " + *nearest + ')';
    std::erase(missing_, *nearest);  // one mistake, one message
  } else {
    std::vector<std::string> sorted = known_;
    std::sort(sorted.begin(), sorted.end());
    for (const std::string& key : sorted) hint += (hint.empty() ? " (valid: " : ", ") + key;
    hint += ')';
  }
  reading_.problem(item.key_mark, path, "unknown key" + hint);
}

void Section::close() {
  if (nested_) reading_.resolved().close();
  for (const Value& item : map_.items) {
    if (quiet_) break;
    if (std::find(known_.begin(), known_.end(), item.key) == known_.end()) report_unknown(item);
  }
  if (map_.incomplete) return;
  for (const std::string& key : missing_) {
    reading_.problem(map_.mark, joined(path_, key), "missing");
  }
}

}  // namespace rimebench
