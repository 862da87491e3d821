#include "harness/config/plan_tree.hpp"

#include <algorithm>
#include <array>

#include "harness/config/number.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

/// A key in a customary unit, and the SI key it stands for: si = (value - offset) * factor.
struct Alternative {
  const char* section;
  const char* key;
  const char* si_key;
  double factor;
  double offset;
};

constexpr double kMlPerFluidOunce = 29.5735295625;
constexpr double kLitrePerGallon = 3.785411784;
constexpr double kM3PerCubicFoot = 0.028316846592;
constexpr double kKelvinPerFahrenheit = 5.0 / 9.0;
constexpr double kFreezingF = 32.0;

constexpr auto kAlternatives = std::to_array<Alternative>({
    {"container", "brimful_us_fl_oz", "brimful_ml", kMlPerFluidOunce, 0.0},
    {"container", "rating_psi", "rating_kpa", kKpaPerPsi, 0.0},
    {"container", "deformation_psi", "deformation_kpa", kKpaPerPsi, 0.0},
    {"product", "fill_us_fl_oz", "fill_ml", kMlPerFluidOunce, 0.0},
    {"product", "fill_temperature_f", "fill_temperature_c", kKelvinPerFahrenheit, kFreezingF},
    {"target", "equilibrium_psi", "equilibrium_kpa", kKpaPerPsi, 0.0},
    {"target", "at_f", "at_c", kKelvinPerFahrenheit, kFreezingF},
    {"target", "tolerance_psi", "tolerance_kpa", kKpaPerPsi, 0.0},
    {"bore", "head_psi", "head_kpa", kKpaPerPsi, 0.0},
    {"checks", "store_f", "store_c", kKelvinPerFahrenheit, kFreezingF},
    {"checks", "tunnel_f", "tunnel_c", kKelvinPerFahrenheit, kFreezingF},
    {"checks", "cold_f", "cold_c", kKelvinPerFahrenheit, kFreezingF},
    {"supply", "bulk_us_gal", "bulk_l", kLitrePerGallon, 0.0},
    {"room", "volume_ft3", "volume_m3", kM3PerCubicFoot, 0.0},
    {"nitrogenation", "tank_psi", "tank_kpa", kKpaPerPsi, 0.0},
    {"nitrogenation", "tank_f", "tank_c", kKelvinPerFahrenheit, kFreezingF},
});

constexpr auto kKinds = std::to_array<const char*>({"can", "glass", "pet", "pouch", "tub"});

/// A calibration that may be left out.
struct Default {
  const char* section;  ///< dotted
  const char* key;
  const char* text;
};

constexpr auto kLineDefaults = std::to_array<Default>({
    {"line.losses", "flash_percent", "1"},
    {"line.losses", "flight_percent", "2"},
    {"line.losses", "splash_percent", "0"},
    {"line.boil_off", "tau_belt_s", "8"},
    {"line.boil_off", "tau_lid_s", "8"},
    {"line.boil_off", "exponent", "1"},
    {"line.boil_off", "reference_mg", "75"},
    {"line.headspace", "sweep_efficiency", "1"},
    {"line.headspace", "cold_gas_k", "210"},
    {"line.headspace", "air_ingress_ml_per_s", "0.5"},
    {"line.headspace", "lid_flush_percent", "0"},
});

constexpr auto kDrinkDefaults = std::to_array<Default>({
    {"product", "solubility_percent", "100"},
});

/// What dry goods have no say in; not calibrations, so not named.
constexpr auto kDryValues = std::to_array<Default>({
    {"product", "dissolved_oxygen_mg_per_kg", "0"},
    {"product", "dissolved_nitrogen_mg_per_kg", "0"},
});

struct KindDefault {
  const char* kind;
  const char* key;
  const char* text;
  bool calibration;
};

constexpr auto kKindDefaults = std::to_array<KindDefault>({
    {"can", "compliance_ml_per_mpa", "4", true},
    {"can", "expansion_ppm_per_k", "69.3", false},
    {"glass", "compliance_ml_per_mpa", "0", false},
    {"glass", "expansion_ppm_per_k", "27", false},
    {"pet", "compliance_ml_per_mpa", "60", true},
    {"pet", "expansion_ppm_per_k", "180", true},
    {"pet", "creep_percent", "0.2", true},
    {"pouch", "compliance_ml_per_mpa", "2000", true},
    {"pouch", "expansion_ppm_per_k", "0", false},
    {"tub", "compliance_ml_per_mpa", "200", true},
    {"tub", "expansion_ppm_per_k", "200", false},
});

/// With a bore and a head the line's own flow and jet are not read from the file.
constexpr auto kBoreValues = std::to_array<Default>({
    {"line.valve", "flow_ug_per_us", "1"},
    {"line.nozzle", "jet_diameter_um", "1000"},
    {"line.nozzle", "jet_speed_um_per_s", "1000000"},
});

Value* section_of(Value& plan, const std::string& path) {
  Value* map = &plan;
  for (std::size_t from = 0; map != nullptr && from < path.size();) {
    const std::size_t dot = std::min(path.find('.', from), path.size());
    map = map->kind == Value::Kind::kMap ? map->find(path.substr(from, dot - from)) : nullptr;
    from = dot + 1;
  }
  return map != nullptr && map->kind == Value::Kind::kMap ? map : nullptr;
}

Value entry(const Value& map, const std::string& key, Value::Kind kind) {
  Value value;
  value.kind = kind;
  value.mark = map.mark;
  value.key = key;
  value.key_mark = map.mark;
  return value;
}

/// The map of a default, made where the line leaves the whole section out.
Value* made_section(Value& plan, const std::string& path) {
  if (Value* const present = section_of(plan, path)) return present;
  const std::size_t dot = path.find('.');
  if (dot == std::string::npos) return nullptr;
  Value* const parent = section_of(plan, path.substr(0, dot));
  const std::string key = path.substr(dot + 1);
  if (parent == nullptr || parent->incomplete || parent->find(key) != nullptr) return nullptr;
  parent->items.push_back(entry(*parent, key, Value::Kind::kMap));
  return &parent->items.back();
}

/// True if it was put in.
bool put(Value& plan, const Default& wanted) {
  Value* const map = made_section(plan, wanted.section);
  if (map == nullptr || map->incomplete || map->find(wanted.key) != nullptr) return false;
  Value value = entry(*map, wanted.key, Value::Kind::kScalar);
  value.text = wanted.text;
  map->items.push_back(value);
  return true;
}

void drop(Value& map, const std::string& key) {
  std::erase_if(map.items, [&](const Value& item) { return item.key == key; });
}

/// Where the SI key is there too: in the same file that is a mistake, else the file that refers to
/// the other one wins, as with any key. True if the alternative stays.
bool settle_pair(Value& map, const Alternative& alternative, Findings& findings) {
  const Value* const si = map.find(alternative.si_key);
  if (si == nullptr) return true;
  const Value& value = *map.find(alternative.key);
  // A file is met before those that it refers to.
  const bool wins = value.mark.file < si->mark.file;
  if (value.mark.file == si->mark.file) {
    findings.add(value.key_mark, joined(alternative.section, alternative.key),
                 std::string(alternative.si_key) + " is given too: one of them must go");
  }
  drop(map, wins ? alternative.si_key : alternative.key);
  return wins;
}

}  // namespace

void convert_units(Value& plan, Findings& findings) {
  for (const Alternative& alternative : kAlternatives) {
    Value* const map = section_of(plan, alternative.section);
    if (map == nullptr || map->find(alternative.key) == nullptr) continue;
    if (!settle_pair(*map, alternative, findings)) continue;
    Value& value = *map->find(alternative.key);
    value.key = alternative.si_key;
    if (value.kind != Value::Kind::kScalar || value.quoted) continue;
    std::string problem;
    const auto number = parse_real(value.text, problem);
    if (!number) continue;  // the reader says what is wrong with it
    value.text = number_text((*number - alternative.offset) * alternative.factor);
  }
}

std::string take_container_kind(Value& plan, Findings& findings) {
  Value* const map = section_of(plan, "container");
  Value* const value = map != nullptr ? map->find("kind") : nullptr;
  if (value == nullptr) return "can";
  const std::string kind = value->text;
  const bool known = std::find(kKinds.begin(), kKinds.end(), kind) != kKinds.end();
  if (!known) {
    findings.add(value->mark, "container.kind",
                 (kind.empty() ? std::string(kind_name(value->kind)) : kind) +
                     " is not known (valid: can, glass, pet, pouch, tub)");
  }
  map->items.erase(map->items.begin() + (value - map->items.data()));
  return kind;
}

std::vector<PlanDefault> fill_defaults(Value& plan, const std::string& container_kind) {
  std::vector<PlanDefault> named;
  const auto name = [&](const Default& taken) {
    if (put(plan, taken)) named.push_back({joined(taken.section, taken.key), taken.text});
  };
  const Value* const product = section_of(plan, "product");
  const Value* const dry = product != nullptr ? product->find("dry") : nullptr;
  const bool is_dry = dry != nullptr && dry->text == "true";
  for (const KindDefault& taken : kKindDefaults) {
    if (container_kind != taken.kind) continue;
    const Default value{"container", taken.key, taken.text};
    if (taken.calibration) {
      name(value);
    } else {
      put(plan, value);
    }
  }
  if (is_dry) {
    for (const Default& value : kDryValues) put(plan, value);
  } else {
    for (const Default& value : kDrinkDefaults) name(value);
  }
  for (const Default& value : kLineDefaults) name(value);
  if (section_of(plan, "bore") != nullptr) {
    for (const Default& value : kBoreValues) put(plan, value);
    Value* const bore = section_of(plan, "bore");
    if (bore->find("discharge") == nullptr) name({"bore", "discharge", "0.61"});
  }
  return named;
}

}  // namespace rimebench
