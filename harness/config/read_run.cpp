#include <algorithm>
#include <cmath>

#include "firmware_sim/contract/fault_table.hpp"
#include "harness/config/edit_distance.hpp"
#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/tables.hpp"

namespace rimebench {

namespace {

void read_heads_missing(Section& section, std::vector<int>& heads) {
  const auto items = section.list(kHeadsMissingKey);
  if (!items || items->empty()) return;
  const NumberKey head{kHeadsMissingKey.key, NumberKind::kWhole,  "1", 1, kPlaces,
                       kMustBeGiven,         kHeadsMissingKey.doc};
  std::vector<std::string> texts;
  for (const Value& item : *items) {
    texts.push_back(item.text);
    const std::string path = section.path_of(head.key) + '[' + std::to_string(texts.size()) + ']';
    const auto number = read_number(section.reading(), item, path, head);
    section.reading().remember(path, item.mark, number.has_value());
    heads.push_back(number ? static_cast<int>(number->whole) : 0);
  }
  section.reading().resolved().value(head.key, flow_list(texts));
}

void read_chatter(Section& happens, SensorChatter& chatter) {
  if (std::optional<Section> section = happens.child("chatter", false)) {
    read_rows(*section, kChatterRows, chatter);
    section->close();
  }
}

std::int64_t default_hot_prompt_pa(const ContainerSpec& container) {
  return static_cast<std::int64_t>(
      std::floor(1000.0 * container.rating_kpa / container.rating_safety_factor));
}

void read_container_limits(Section& expect, Scenario& scenario) {
  std::optional<Section> section = expect.child("container", true);
  if (!section) return;
  ContainerLimits& limits = scenario.plant.limits;
  read_rows(*section, kContainerLimitRows, limits);
  NumberKey hot = number_key(kHotPromptRow);
  if (expect.reading().good({"container.rating_kpa", "container.rating_safety_factor"})) {
    hot.fallback = static_cast<double>(default_hot_prompt_pa(scenario.plant.container)) / 1000.0;
  }
  if (const auto number = section->number(hot)) {
    assign(limits.hot_prompt_pa_max, *number, kHotPromptRow.scale);
  }
  section->close();
}

/// Reads a word of a table of names; -1 after a mistake.
int read_name(Reading& reading, const Value& value, const std::string& path,
              const std::vector<std::string>& names) {
  const auto found = std::find(names.begin(), names.end(), value.text);
  if (found != names.end()) return static_cast<int>(found - names.begin());
  std::string problem = value.kind == Value::Kind::kScalar ? value.text + " is not known"
                                                           : std::string(kind_name(value.kind));
  const std::optional<std::string> nearest = nearest_word(value.text, names);
  std::string all;
  for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
  problem += nearest ? " (nearest: " + *nearest + ')' : " (valid: " + all + ')';
  reading.problem(value.mark, path, problem);
  return -1;
}

/// A list of words of a table of names, as the numbers of their rows.
template <class Named>
void read_names(Section& expect, const PlainKey& key, const std::vector<std::string>& names,
                std::vector<Named>& chosen) {
  const auto items = expect.list(key);
  if (!items || items->empty()) return;
  std::vector<std::string> texts;
  for (const Value& item : *items) {
    texts.push_back(item.text);
    const std::string path = expect.path_of(key.key) + '[' + std::to_string(texts.size()) + ']';
    const int index = read_name(expect.reading(), item, path, names);
    if (index >= 0) chosen.push_back(static_cast<Named>(index));
  }
  expect.reading().resolved().value(key.key, flow_list(texts));
}

template <class Table>
std::vector<std::string> names_of(const Table& table) {
  std::vector<std::string> names;
  for (const auto& row : table) names.emplace_back(row.name);
  return names;
}

void read_alarm(Section& expect, std::optional<Fault>& fault) {
  const Value* const value = expect.find(kAlarmKey.key, false);
  if (value == nullptr) return;
  const int index =
      read_name(expect.reading(), *value, expect.path_of(kAlarmKey.key), names_of(kFaultTable));
  if (index < 0) return;
  fault = static_cast<Fault>(index);
  expect.reading().resolved().value(kAlarmKey.key, value->text);
}

}  // namespace

void read_happens(Section& scenario, PlantSpec& plant) {
  Happenings& happens = plant.happens;
  std::optional<Section> section = scenario.child("happens", false);
  if (!section) return;
  happens.stops = read_list(*section, kStopsKey, kStopRows);
  read_rows(*section, kHappensRows, happens);
  read_heads_missing(*section, happens.heads_missing);
  read_chatter(*section, happens.chatter);
  read_supply_happenings(*section, plant.line.supply.has_value(), happens.supply);
  read_troubles(*section, plant.line, happens);
  read_disturbances(*section, happens);
  section->close();
}

void read_expect(Section& root, Scenario& scenario) {
  std::optional<Section> section = root.child("expect", true);
  if (!section) return;
  read_container_limits(*section, scenario);
  read_rows(*section, kRunLimitRows, scenario.run_limits);
  read_names(*section, kMustReachKey, names_of(kCounterTable), scenario.must_reach);
  read_names(*section, kFaultsMustKey, names_of(kFaultTable), scenario.faults_must);
  read_names(*section, kFaultsMustNotKey, names_of(kFaultTable), scenario.faults_must_not);
  read_alarm(*section, scenario.expect_fault);
  section->close();
}

}  // namespace rimebench
