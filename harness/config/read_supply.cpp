#include <algorithm>

#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/supply_tables.hpp"

namespace rimebench {

namespace {

/// Entries of a list follow one another in time and do not overlap.
template <class Stretch>
void check_order(Reading& reading, const char* key, const std::vector<Stretch>& all) {
  for (std::size_t i = 1; i < all.size(); ++i) {
    const std::string path =
        "happens." + std::string(key) + '[' + std::to_string(i + 1) + "].at_us";
    if (!reading.good({path.c_str()})) continue;
    const Instant free_from = all[i - 1].at + all[i - 1].lasts;
    if (all[i].at >= free_from) continue;
    reading.problem_at(path, std::to_string(all[i].at.us) + " is before the one above has ended, " +
                                 std::to_string(free_from.us));
  }
}

void check_level(Reading& reading, const char* key, std::int64_t um, std::int64_t full_um) {
  const std::string path = std::string("line.supply.") + key;
  if (um < full_um || !reading.good({path.c_str(), "line.supply.full_um"})) return;
  reading.problem_at(path, std::to_string(um) + " is not below line.supply.full_um, " +
                               std::to_string(full_um) + " (" +
                               reading.line_of("line.supply.full_um") + ')');
}

/// A check with a place of its own stands between the last station before the gate and the gate,
/// and its ejector needs a stroke that does not begin before the reading.
void check_station(Reading& reading, const LineSpec& spec) {
  const PressureCheckSpec& check = *spec.pressure_check;
  if (check.at_um == 0) return;
  const StationsSpec& at = spec.stations;
  const std::int64_t after = std::max(at.seam_um, at.discharge_um);
  if (reading.good({"line.pressure_check.at_um", "line.stations.seam_um",
                    "line.stations.discharge_um", "line.stations.gate_um"}) &&
      (check.at_um <= after || check.at_um >= at.gate_um)) {
    reading.problem_at("line.pressure_check.at_um",
                       std::to_string(check.at_um) + " is not between " + std::to_string(after) +
                           ", behind the seamer, and the gate at " + std::to_string(at.gate_um));
  }
  const char* const stroke = "line.pressure_check.strikes_for_us";
  if (!check.ejects || !reading.good({stroke, "line.pressure_check.strikes_after_us"})) return;
  if (check.strikes_for_us > 0 && check.strikes_for_us / 2 <= check.strikes_after_us) return;
  reading.problem_at(stroke, check.strikes_for_us == 0
                                 ? "an ejector without a stroke takes nothing out"
                                 : "the stroke begins before the reading");
}

}  // namespace

void read_supply(Section& line, LineSpec& spec) {
  if (std::optional<Section> section = line.child("pressure_check", false)) {
    spec.pressure_check.emplace();
    read_rows(*section, kPressureCheckRows, *spec.pressure_check);
    section->close();
    check_station(line.reading(), spec);
    if (spec.stations.gate_um == 0 && line.reading().good({"line.stations.gate_um"})) {
      line.reading().problem(section->mark(), "line.pressure_check",
                             "it stands before the reject gate, and stations.gate_um says that "
                             "there is none");
    }
  }
  if (std::optional<Section> section = line.child("supply", false)) {
    spec.supply.emplace();
    read_rows(*section, kSupplyRows, *spec.supply);
    section->close();
    check_level(line.reading(), "refill_um", spec.supply->refill_um, spec.supply->full_um);
    check_level(line.reading(), "start_um", spec.supply->start_um, spec.supply->full_um + 1);
    check_level(line.reading(), "ready_um", spec.supply->ready_um, spec.supply->full_um);
  }
  if (std::optional<Section> section = line.child("room", false)) {
    spec.room.emplace();
    read_rows(*section, kRoomRows, *spec.room);
    section->close();
    if (!spec.supply) {
      line.reading().problem(section->mark(), "line.room",
                             "without line.supply no nitrogen comes into it");
    }
  }
}

void read_supply_happenings(Section& happens, bool has_supply, SupplyHappenings& supply) {
  Reading& reading = happens.reading();
  for (const char* key :
       {kVesselChangesKey.key, kRefillBlockedKey.key, kHeadPressureKey.key, kHoseLeaksKey.key}) {
    const Value* const value = has_supply ? nullptr : happens.find(key, false);
    if (value == nullptr) continue;
    reading.problem(value->key_mark, happens.path_of(key), "line.supply says nothing of a supply");
  }
  supply.vessel_changes = read_list(happens, kVesselChangesKey, kVesselChangeRows);
  supply.refill_blocked = read_list(happens, kRefillBlockedKey, kRefillBlockedRows);
  supply.head_pressure = read_list(happens, kHeadPressureKey, kHeadPressureRows);
  supply.hose_leaks = read_list(happens, kHoseLeaksKey, kHoseLeakRows);
  check_order(reading, kVesselChangesKey.key, supply.vessel_changes);
  check_order(reading, kRefillBlockedKey.key, supply.refill_blocked);
  check_order(reading, kHeadPressureKey.key, supply.head_pressure);
  check_order(reading, kHoseLeaksKey.key, supply.hose_leaks);
}

}  // namespace rimebench
