#pragma once

/// Reading one scenario from its tree: a Section is one map of it, a Reading what they share.

#include <cstdint>
#include <initializer_list>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "harness/config/findings.hpp"
#include "harness/config/resolved_text.hpp"
#include "harness/config/rows.hpp"
#include "harness/config/tree.hpp"

namespace rimebench {

/// What all sections of one scenario share: the mistakes, the resolved text, and where each key
/// stood.
class Reading {
 public:
  explicit Reading(Findings& findings) : findings_(findings) {}

  void problem(const Mark& mark, const std::string& path, const std::string& text) {
    findings_.add(mark, path, text);
  }
  /// A problem at a key that was remembered.
  void problem_at(const std::string& path, const std::string& text);

  /// A key was read, or left to its default; `good` if its value can be worked with.
  void remember(const std::string& path, const Mark& mark, bool good);
  /// True if all these keys have values that later checks can work with.
  bool good(std::initializer_list<const char*> paths) const;
  /// The file and line of a remembered key.
  std::string line_of(const std::string& path) const;

  Findings& findings() { return findings_; }
  ResolvedText& resolved() { return resolved_; }

 private:
  struct Place {
    Mark mark;
    bool good;
  };
  Findings& findings_;
  ResolvedText resolved_;
  std::map<std::string, Place> places_;
};

struct Number {
  double real{};
  std::int64_t whole{};
};

/// Reads a number or a boolean: form, type and range. nullopt after reporting a mistake.
std::optional<Number> read_number(Reading& reading, const Value& value, const std::string& path,
                                  const NumberKey& key);

/// One map. It hands out values by key and remembers which keys it was asked for; close() reports
/// keys that nobody asked for and required ones that nobody gave. Reading a value also writes it to
/// the resolved text.
class Section {
 public:
  Section(Reading& reading, const Value& map, std::string path);

  /// The value of a key; null if it is absent, which is a mistake if it is required.
  const Value* find(const char* key, bool required);
  /// The section under a key, opened in the resolved text until its close().
  std::optional<Section> child(const char* key, bool required);

  std::optional<Number> number(const NumberKey& key);
  std::optional<std::string> text(const PlainKey& key);
  /// The index of the word given. Where `numbers` is true, the index itself is accepted too.
  /// nullopt after a mistake, or if absent and the default is none of the words.
  std::optional<int> choice(const PlainKey& key, std::span<const char* const> words, bool numbers);
  /// A list's entries, or an empty list if absent and not required; nullopt after a mistake.
  std::optional<std::span<const Value>> list(const PlainKey& key);

  /// Which other keys belong here cannot be told: they are not called unknown.
  void leave_the_rest() { quiet_ = true; }
  void close();

  Reading& reading() { return reading_; }
  std::string path_of(const char* key) const { return joined(path_, key); }
  const Mark& mark() const { return map_.mark; }

 private:
  void report_unknown(const Value& item);

  Reading& reading_;
  const Value& map_;
  std::string path_;
  bool nested_{false};  ///< it is a map of its own in the resolved text
  bool quiet_{false};
  std::vector<std::string> known_;
  std::vector<std::string> missing_;
};

inline void assign(double& member, const Number& n, std::int64_t) { member = n.real; }
inline void assign(bool& member, const Number& n, std::int64_t) { member = n.whole != 0; }
inline void assign(int& member, const Number& n, std::int64_t) {
  member = static_cast<int>(n.whole);
}
inline void assign(Duration& member, const Number& n, std::int64_t) { member.raw = n.whole; }
inline void assign(Instant& member, const Number& n, std::int64_t) { member.us = n.whole; }
inline void assign(std::optional<double>& member, const Number& n, std::int64_t) {
  member = n.real;
}
inline void assign(std::optional<std::int64_t>& member, const Number& n, std::int64_t) {
  member = n.whole;
}
void assign(std::int64_t& member, const Number& n, std::int64_t scale);

/// Reads the key of one row into its member; the member keeps its value where there is none.
template <class Spec>
void read_row(Section& section, const Row<Spec>& row, Spec& spec) {
  const std::optional<Number> number = section.number(number_key(row));
  if (!number) return;
  std::visit([&](auto member) { assign(spec.*member, *number, row.scale); }, row.member);
}

template <class Spec, std::size_t kCount>
void read_rows(Section& section, const std::array<Row<Spec>, kCount>& rows, Spec& spec) {
  for (const Row<Spec>& row : rows) read_row(section, row, spec);
}

/// Reads a map that consists of rows alone.
template <class Spec, std::size_t kCount>
void read_section(Section& parent, const char* key, const std::array<Row<Spec>, kCount>& rows,
                  Spec& spec) {
  std::optional<Section> section = parent.child(key, true);
  if (!section) return;
  read_rows(*section, rows, spec);
  section->close();
}

/// Reads a list of maps that consist of rows alone.
template <class Spec, std::size_t kCount>
std::vector<Spec> read_list(Section& section, const PlainKey& key,
                            const std::array<Row<Spec>, kCount>& rows) {
  std::vector<Spec> all;
  const auto items = section.list(key);
  if (!items || items->empty()) return all;
  Reading& reading = section.reading();
  reading.resolved().open(key.key);
  for (const Value& item : *items) {
    const std::string path = section.path_of(key.key) + '[' + std::to_string(all.size() + 1) + ']';
    Spec& spec = all.emplace_back();
    if (item.kind != Value::Kind::kMap) {
      reading.problem(item.mark, path, std::string(kind_name(item.kind)) + ", not a map of keys");
      continue;
    }
    reading.resolved().open_item();
    Section map(reading, item, path);
    read_rows(map, rows, spec);
    map.close();
    reading.resolved().close_item();
  }
  reading.resolved().close();
  return all;
}

}  // namespace rimebench
