#pragma once

/// A YAML file as a tree of values that remember where they stand. Only what a scenario needs:
/// maps, lists and scalars. Anchors, aliases, tags and several documents in one file are mistakes
/// here.

#include <optional>
#include <string>
#include <vector>

#include "harness/config/findings.hpp"

namespace rimebench {

struct Value {
  enum class Kind { kNothing, kScalar, kList, kMap };

  Kind kind{Kind::kNothing};
  Mark mark;
  std::string key;  ///< its key, if it stands in a map
  Mark key_mark;
  std::string text;          ///< scalar: the text, without quotes
  bool quoted{false};        ///< scalar: in quotes or a text block, so never a number
  std::vector<Value> items;  ///< list: its entries; map: its values, in file order
  bool incomplete{false};    ///< map: a file that it refers to could not be read
  bool has_base{false};      ///< map: it names its own base (`from`), so it stands for itself

  /// The value of a map's key, or null.
  const Value* find(const std::string& wanted) const;
  Value* find(const std::string& wanted);
};

/// "a number", "a list", ... for messages.
const char* kind_name(Value::Kind kind);

/// `prefix` and `key` joined by a dot.
std::string joined(const std::string& prefix, const std::string& key);

/// Parses the text of `file`; `prefix` is the dotted key of the map that the file stands for.
/// Reports every mistake of form; nullopt if there is no tree at all or its root is not a map.
std::optional<Value> parse_yaml(const std::string& text, int file, const std::string& prefix,
                                Findings& findings);

}  // namespace rimebench
