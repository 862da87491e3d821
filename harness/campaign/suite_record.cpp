#include "harness/campaign/suite_record.hpp"

#include <fmt/format.h>

#include <charconv>

#include "harness/config/tree.hpp"

namespace rimebench {

namespace {

constexpr const char* kHeading =
    "# Written by rimebench suite --accept: what each scenario came to when it was last looked "
    "at.\n"
    "# A change here is a change of behaviour: read it, and say why in the commit.\n";
constexpr double kPaPerPsi = 6894.757293168;

std::optional<std::int64_t> whole(const Value& value) {
  std::int64_t number{};
  const char* const end = value.text.data() + value.text.size();
  const auto [stopped, error] = std::from_chars(value.text.data(), end, number);
  if (value.kind != Value::Kind::kScalar || error != std::errc{} || stopped != end) {
    return std::nullopt;
  }
  return number;
}

/// Reads each key of a table of whole numbers.
template <class Table, class Struct>
void read_counts(const Table& table, const Value& map, Struct& into, Findings& findings) {
  for (const auto& row : table) {
    const Value* const value = map.find(row.key);
    const auto number = value == nullptr ? std::nullopt : whole(*value);
    if (!number) {
      findings.add(map.mark, joined(map.key, row.key), "missing, or not a whole number");
    } else {
      into.*row.value = *number;
    }
  }
}

void read_places(const Value& map, RunFigures& figures, Findings& findings) {
  const Value* const places = map.find("places");
  if (places == nullptr || places->kind != Value::Kind::kList) {
    findings.add(map.mark, joined(map.key, "places"), "missing, or not a list");
    return;
  }
  for (const Value& item : places->items) {
    const Value* const place = item.find("place");
    const auto number = place == nullptr ? std::nullopt : whole(*place);
    if (!number) {
      findings.add(item.mark, joined(map.key, "places"), "an entry without its place");
    } else {
      read_counts(kPlaceFigures, item, figures.places[*number], findings);
    }
  }
}

RunFigures read_figures(const Value& map, Findings& findings) {
  RunFigures figures;
  for (const TextFigure& row : kTextFigures) {
    const Value* const value = map.find(row.key);
    if (value == nullptr || value->kind != Value::Kind::kScalar) {
      findings.add(map.mark, joined(map.key, row.key), "missing, or not a text");
    } else {
      figures.*row.value = value->text;
    }
  }
  read_counts(kCountFigures, map, figures, findings);
  read_places(map, figures, findings);
  return figures;
}

std::string pressure(std::int64_t pa) {
  return fmt::format("{:.1f} kPa ({:.1f} psi)", static_cast<double>(pa) / 1000.0,
                     static_cast<double>(pa) / kPaPerPsi);
}

void compare_places(const RunFigures& before, const RunFigures& now,
                    std::vector<std::string>& changes) {
  std::map<std::int64_t, std::pair<PlacePressure, PlacePressure>> places;
  for (const auto& [place, kept] : before.places) places[place].first = kept;
  for (const auto& [place, found] : now.places) places[place].second = found;
  for (const auto& [place, pair] : places) {
    for (const PlaceFigure& row : kPlaceFigures) {
      const std::int64_t was = pair.first.*row.value;
      const std::int64_t is = pair.second.*row.value;
      if (was == is) continue;
      const bool count = row.value == &PlacePressure::containers;
      changes.push_back(fmt::format("place {}: {} {}, was {}", place, row.words,
                                    count ? std::to_string(is) : pressure(is),
                                    count ? std::to_string(was) : pressure(was)));
    }
  }
}

}  // namespace

std::string to_text(const SuiteRecord& record) {
  std::string text = kHeading;
  for (const auto& [name, figures] : record) {
    text += fmt::format("{}:\n", name);
    for (const TextFigure& row : kTextFigures) {
      text += fmt::format("  {}: \"{}\"\n", row.key, figures.*row.value);
    }
    for (const CountFigure& row : kCountFigures) {
      text += fmt::format("  {}: {}\n", row.key, figures.*row.value);
    }
    text += figures.places.empty() ? "  places: []\n" : "  places:\n";
    for (const auto& [place, pressures] : figures.places) {
      text += fmt::format("    - {{place: {}", place);
      for (const PlaceFigure& row : kPlaceFigures) {
        text += fmt::format(", {}: {}", row.key, pressures.*row.value);
      }
      text += "}\n";
    }
  }
  return text;
}

std::optional<SuiteRecord> parse_record(const std::string& text, const std::string& file,
                                        Diagnostics& diagnostics) {
  Findings findings;
  SuiteRecord record;
  if (const auto tree = parse_yaml(text, findings.add_file(file), "", findings)) {
    for (const Value& map : tree->items) {
      if (map.kind == Value::Kind::kMap) {
        record[map.key] = read_figures(map, findings);
      } else {
        findings.add(map.mark, map.key, "not the figures of a scenario");
      }
    }
  }
  for (const Diagnostic& found : findings.in_order()) diagnostics.push_back(found);
  if (!findings.empty()) return std::nullopt;
  return record;
}

std::vector<std::string> changes_between(const RunFigures& before, const RunFigures& now) {
  std::vector<std::string> changes;
  for (const TextFigure& row : kTextFigures) {
    if (before.*row.value == now.*row.value) continue;
    changes.push_back(fmt::format("{}: {}, was {}", row.words, now.*row.value, before.*row.value));
  }
  for (const CountFigure& row : kCountFigures) {
    if (before.*row.value == now.*row.value) continue;
    changes.push_back(fmt::format("{}: {}, was {}", row.words, now.*row.value, before.*row.value));
  }
  compare_places(before, now, changes);
  return changes;
}

}  // namespace rimebench
