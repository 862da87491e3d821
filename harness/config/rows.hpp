#pragma once

/// What a file may say, as rows: validation, the resolved text and the key list all come from them.

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <variant>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// In place of a default: the key must be given, or may be absent (then there is no such limit).
inline constexpr double kMustBeGiven = std::numeric_limits<double>::infinity();
inline constexpr double kMayBeAbsent = -std::numeric_limits<double>::infinity();

template <class Spec>
using Member = std::variant<double Spec::*, std::int64_t Spec::*, int Spec::*, bool Spec::*,
                            Duration Spec::*, Instant Spec::*, std::optional<double> Spec::*,
                            std::optional<std::int64_t> Spec::*>;

/// A key whose value is a number, or true or false.
template <class Spec>
struct Row {
  const char* key;
  Member<Spec> member;
  const char* unit;
  double min;
  double max;
  double fallback;  ///< the default, or one of the two above
  const char* doc;
  std::int64_t scale{1};  ///< the member is a whole number of 1/scale units, e.g. Pa for a kPa key
};

/// A key whose value is anything else.
struct PlainKey {
  const char* key;
  const char* valid;
  const char* fallback;  ///< as text; null: must be given
  const char* doc;
};

enum class NumberKind : std::uint8_t { kReal, kWhole, kBoolean };

/// A row without the struct that it belongs to.
struct NumberKey {
  const char* key;
  NumberKind kind;
  const char* unit;
  double min;
  double max;
  double fallback;
  const char* doc;
};

template <class Spec>
constexpr NumberKind kind_of(const Row<Spec>& row) {
  if (std::holds_alternative<bool Spec::*>(row.member)) return NumberKind::kBoolean;
  const bool real = std::holds_alternative<double Spec::*>(row.member) ||
                    std::holds_alternative<std::optional<double> Spec::*>(row.member);
  return real || row.scale > 1 ? NumberKind::kReal : NumberKind::kWhole;
}

template <class Spec>
constexpr NumberKey number_key(const Row<Spec>& row) {
  return {row.key, kind_of(row), row.unit, row.min, row.max, row.fallback, row.doc};
}

/// "0..45 C" or "true, false".
std::string range_text(const NumberKey& key);

}  // namespace rimebench
