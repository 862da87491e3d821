#include <span>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/config/disturbance_tables.hpp"
#include "harness/config/load.hpp"
#include "harness/config/number.hpp"
#include "harness/config/supply_tables.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/trouble_tables.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

/// The text under construction, and the dotted key of the map being described.
class Description {
 public:
  void plain(const std::string& prefix, const PlainKey& key) {
    line(prefix + key.key, key.valid, key.fallback == nullptr ? "must be given" : key.fallback,
         key.doc);
  }

  void number(const std::string& prefix, const NumberKey& key) {
    std::string fallback = number_text(key.fallback);
    if (key.fallback == kMustBeGiven) fallback = "must be given";
    if (key.fallback == kMayBeAbsent) fallback = "none";
    if (key.kind == NumberKind::kBoolean) fallback = key.fallback != 0.0 ? "true" : "false";
    line(prefix + key.key, range_text(key), fallback, key.doc);
  }

  template <class Spec, std::size_t kCount>
  void rows(const std::string& prefix, const std::array<Row<Spec>, kCount>& table) {
    for (const Row<Spec>& row : table) number(prefix, number_key(row));
  }

  template <class Spec>
  void rows(const std::string& prefix, std::span<const Row<Spec>> table) {
    for (const Row<Spec>& row : table) number(prefix, number_key(row));
  }

  void parameter(const ParameterRow& row) {
    const auto words = words_of(row.parameter);
    const bool given = row.default_value == kRequired;
    std::string valid;
    for (const char* word : words) valid += (valid.empty() ? "" : ", ") + std::string(word);
    if (words.empty()) {
      const NumberKey key{row.key,
                          NumberKind::kWhole,
                          row.unit,
                          static_cast<double>(row.min),
                          static_cast<double>(row.max),
                          0,
                          row.doc};
      valid = range_text(key);
    }
    std::string fallback = given ? "must be given" : std::to_string(row.default_value);
    if (!words.empty() && !given) fallback = words[static_cast<std::size_t>(row.default_value)];
    if (row.entries > 1) {
      valid = "a list of up to " + std::to_string(row.entries) + " of " + valid;
      fallback = "none";
    }
    line(std::string("recipe.") + row.key, valid, fallback, row.doc);
  }

  std::string text() const { return text_; }

 private:
  void line(const std::string& key, const std::string& valid, const std::string& fallback,
            const std::string& doc) {
    text_ += key + " | " + valid + " | " + fallback + " | " + doc + '\n';
  }

  std::string text_{"key | valid | default | meaning\n"};
};

void describe_line(Description& description) {
  description.plain("line.", kLineTransportKey);
  description.plain("line.filler.", kFillerKindKey);
  description.rows("line.filler.", kRotaryRows);
  for (const Row<FillerSpec>& row : kInlineRows) {
    if (std::string(row.key) != "pitch_sd_um") description.number("line.filler.", number_key(row));
  }
  description.rows("line.stations.", kStationRows);
  description.rows("line.seamer.", kSeamerRows);
  description.rows("line.sensor.", kSensorRows);
  description.rows("line.valve.", kValveRows);
  description.rows("line.nozzle.", kNozzleRows);
  description.rows("line.losses.", kLossesRows);
  description.rows("line.boil_off.", kBoilOffRows);
  description.rows("line.headspace.", kHeadspaceRows);
  description.rows("line.gate.", kGateRows);
  description.rows("line.controls.", kControlsRows);
  description.rows("line.controls.interlock.", kInterlockRows);
  description.rows("line.pressure_check.", kPressureCheckRows);
  description.rows("line.supply.", kSupplyRows);
  description.rows("line.room.", kRoomRows);
}

void describe_supply_happenings(Description& description) {
  description.plain("happens.", kVesselChangesKey);
  description.rows("happens.vessel_changes[].", kVesselChangeRows);
  description.plain("happens.", kRefillBlockedKey);
  description.rows("happens.refill_blocked[].", kRefillBlockedRows);
  description.plain("happens.", kHeadPressureKey);
  description.rows("happens.head_pressure[].", kHeadPressureRows);
  description.plain("happens.", kHoseLeaksKey);
  description.rows("happens.hose_leaks[].", kHoseLeakRows);
}

void describe_disturbances(Description& description) {
  for (const SpellKey& key : kSpellKeys) {
    description.plain("happens.", key.key);
    description.rows(std::string("happens.") + key.key.key + "[].", key.rows);
  }
  for (const MishapKey& key : kMishapKeys) {
    description.plain("happens.", {key.key, "a map", "none", key.doc});
    description.rows(std::string("happens.") + key.key + '.', key.rows);
  }
  const PlainKey wrong{"wrong_container", "a map", "none",
                       "another container of the same diameter, with the recipe of the right one"};
  description.plain("happens.", wrong);
  description.rows("happens.wrong_container.", kWrongContainerRows);
  const PlainKey second{"second_recipe", "a map", "none",
                        "what the operator's load_recipe stages and commits; its keys are those of "
                        "recipe"};
  description.plain("happens.", second);
  description.plain("happens.", kOperatorKey);
  description.rows("happens.operator[].", kOperatorRows);
  description.plain("happens.operator[].", kPressKey);
}

void describe_expect(Description& description) {
  description.rows("expect.container.", kContainerLimitRows);
  description.number("expect.container.", number_key(kHotPromptRow));
  description.rows("expect.", kRunLimitRows);
  description.plain("expect.", kMustReachKey);
  description.plain("expect.", kFaultsMustKey);
  description.plain("expect.", kFaultsMustNotKey);
  description.plain("expect.", kAlarmKey);
}

void describe_troubles(Description& description) {
  description.plain("happens.", kValveTroublesKey);
  description.rows("happens.valve[].", kValveTroubleRows);
  description.rows("happens.valve[].", kValveSlowRows);
  description.rows("happens.valve[].", kValveSticksRows);
  description.rows("happens.valve[].", kValveLeaksRows);
  description.rows("happens.valve[].", kValveIcedRows);
  description.rows("happens.valve[].", kValveDriftsRows);
  description.rows("happens.valve[].", kValveDeflectedRows);
  description.plain("happens.", kGateTroublesKey);
  description.rows("happens.gate[].", kGateTroubleRows);
  description.rows("happens.gate[].", kGateSlowRows);
  description.rows("happens.gate[].", kGateShareRows);
  description.rows("happens.core_hang.", kCoreHangRows);
  description.rows("happens.core_restart.", kCoreRestartRows);
  description.plain("happens.link_fault.", kLinkFaultKindKey);
  description.rows("happens.link_fault.", kLinkFaultRows);
  description.rows("happens.link_fault.", kLinkLateRows);
}

}  // namespace

std::string describe_keys() {
  Description description;
  description.plain("", kNameKey);
  description.plain("", kTitleKey);
  description.plain("", kReasonKey);
  description.plain("", kClaimKey);
  description.rows("", kSuiteRows);
  description.plain("", kSeedKey);
  description.rows("", kRunRows);
  description.rows("container.", kContainerRows);
  description.rows("product.", kProductRows);
  describe_line(description);
  description.plain("", kSpeedKey);
  description.rows("speed[].", kSpeedRows);
  description.plain("speed.", kSpeedLogKey);
  description.plain("happens.", kStopsKey);
  description.rows("happens.stops[].", kStopRows);
  description.rows("happens.", kHappensRows);
  description.plain("happens.", kHeadsMissingKey);
  description.rows("happens.chatter.", kChatterRows);
  describe_supply_happenings(description);
  describe_troubles(description);
  describe_disturbances(description);
  for (const ParameterRow& row : kParameterTable) description.parameter(row);
  describe_expect(description);
  description.plain("", kApprovalsKey);
  for (const PlainKey& key :
       {kApprovalOwnerKey, kApprovalDocumentKey, kApprovalDateKey, kApprovalSignatureKey}) {
    description.plain("approvals.LIMIT.", key);
  }
  return description.text();
}

}  // namespace rimebench
