#include "harness/config/disturbance_tables.hpp"
#include "harness/config/reader.hpp"

namespace rimebench {

namespace {

/// The map of a list's entry; nullopt after a mistake.
std::optional<Section> entry_of(Reading& reading, const Value& item, const std::string& path) {
  if (item.kind != Value::Kind::kMap) {
    reading.problem(item.mark, path, std::string(kind_name(item.kind)) + ", not a map of keys");
    return std::nullopt;
  }
  reading.resolved().open_item();
  return Section(reading, item, path);
}

void read_spells(Section& happens, const SpellKey& key, std::vector<Spell>& spells) {
  const auto items = happens.list(key.key);
  if (!items || items->empty()) return;
  Reading& reading = happens.reading();
  reading.resolved().open(key.key.key);
  for (const Value& item : *items) {
    const std::string number = std::to_string(spells.size() + 1);
    const std::string path = happens.path_of(key.key.key) + '[' + number + ']';
    Spell& spell = spells.emplace_back();
    std::optional<Section> map = entry_of(reading, item, path);
    if (!map) continue;
    for (const Row<Spell>& row : key.rows) read_row(*map, row, spell);
    map->close();
    reading.resolved().close_item();
  }
  reading.resolved().close();
}

void read_mishap(Section& happens, const MishapKey& key, Mishap& share) {
  std::optional<Section> section = happens.child(key.key, false);
  if (!section) return;
  for (const Row<Mishap>& row : key.rows) read_row(*section, row, share);
  section->close();
}

void read_operator(Section& happens, std::vector<OperatorAct>& acts) {
  const auto items = happens.list(kOperatorKey);
  if (!items || items->empty()) return;
  Reading& reading = happens.reading();
  reading.resolved().open(kOperatorKey.key);
  for (const Value& item : *items) {
    const std::string number = std::to_string(acts.size() + 1);
    OperatorAct& act = acts.emplace_back();
    std::optional<Section> map =
        entry_of(reading, item, happens.path_of(kOperatorKey.key) + '[' + number + ']');
    if (!map) continue;
    read_rows(*map, kOperatorRows, act);
    const std::optional<int> button = map->choice(kPressKey, kPressWords, false);
    if (button) act.button = static_cast<Button>(*button);
    map->close();
    reading.resolved().close_item();
  }
  reading.resolved().close();
}

}  // namespace

void read_disturbances(Section& happens, Happenings& spec) {
  for (const SpellKey& key : kSpellKeys) read_spells(happens, key, spec.of(key.kind));
  for (const MishapKey& key : kMishapKeys) read_mishap(happens, key, spec.of(key.kind));
  if (std::optional<Section> wrong = happens.child("wrong_container", false)) {
    read_rows(*wrong, kWrongContainerRows, spec.wrong_container);
    wrong->close();
  }
  read_operator(happens, spec.operator_acts);
  read_second_recipe(happens, spec.second_recipe);
}

}  // namespace rimebench
