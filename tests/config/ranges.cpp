#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/config/load.hpp"
#include "harness/config/number.hpp"
#include "harness/config/section.hpp"
#include "harness/config/supply_tables.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/trouble_tables.hpp"

using namespace rimebench;

namespace {

bool accepts(const NumberKey& key, const std::string& text) {
  Findings findings;
  Reading reading(findings);
  Value value;
  value.kind = Value::Kind::kScalar;
  value.mark = {findings.add_file("file"), 1, 1};
  value.text = text;
  const bool accepted = read_number(reading, value, "key", key).has_value();
  CHECK(accepted == findings.empty());
  return accepted;
}

/// Both edges are inside; the next number beyond each is outside.
void check_edges(const NumberKey& key) {
  CAPTURE(key.key);
  if (key.kind == NumberKind::kBoolean) {
    CHECK(accepts(key, "true"));
    CHECK(accepts(key, "false"));
    return;
  }
  const bool whole = key.kind == NumberKind::kWhole;
  const double below = whole ? key.min - 1 : std::nextafter(key.min, -1e300);
  const double above = whole ? key.max + 1 : std::nextafter(key.max, 1e300);
  CHECK(accepts(key, number_text(key.min)));
  CHECK(accepts(key, number_text(key.max)));
  CHECK_FALSE(accepts(key, number_text(below)));
  CHECK_FALSE(accepts(key, number_text(above)));
  if (std::isfinite(key.fallback)) CHECK(accepts(key, number_text(key.fallback)));
}

template <class Spec, std::size_t kCount>
void check_table(const std::array<Row<Spec>, kCount>& rows) {
  std::set<std::string> keys;
  for (const Row<Spec>& row : rows) {
    check_edges(number_key(row));
    CHECK(keys.insert(row.key).second);
  }
}

/// For structs whose members are all of eight bytes: none was forgotten.
template <class Spec, std::size_t kCount>
void check_whole_table(const std::array<Row<Spec>, kCount>& rows) {
  check_table(rows);
  CHECK(sizeof(Spec) == 8 * kCount);
}

}  // namespace

TEST_CASE("config: each key takes the edges of its range and nothing beyond") {
  check_whole_table(kContainerRows);
  check_whole_table(kProductRows);
  check_table(kRotaryRows);
  check_table(kInlineRows);
  check_whole_table(kStationRows);
  check_whole_table(kSeamerRows);
  check_whole_table(kSensorRows);
  check_whole_table(kValveRows);
  check_whole_table(kNozzleRows);
  check_whole_table(kLossesRows);
  check_whole_table(kBoilOffRows);
  check_whole_table(kHeadspaceRows);
  check_whole_table(kGateRows);
  check_table(kControlsRows);
  check_table(kValveTroubleRows);
  check_table(kValveSlowRows);
  check_table(kValveSticksRows);
  check_table(kValveLeaksRows);
  check_table(kValveIcedRows);
  check_table(kValveDriftsRows);
  check_table(kValveDeflectedRows);
  check_table(kGateTroubleRows);
  check_table(kGateSlowRows);
  check_table(kGateShareRows);
  check_whole_table(kCoreHangRows);
  check_whole_table(kInterlockRows);
  check_whole_table(kPressureCheckRows);
  check_whole_table(kSupplyRows);
  check_whole_table(kRoomRows);
  check_whole_table(kVesselChangeRows);
  check_whole_table(kRefillBlockedRows);
  check_whole_table(kHeadPressureRows);
  check_whole_table(kHoseLeakRows);
  check_whole_table(kSpeedRows);
  check_whole_table(kStopRows);
  check_table(kChatterRows);
  check_table(kHappensRows);
  check_table(kRunRows);
  check_table(kContainerLimitRows);
  CHECK(sizeof(ContainerLimits) == 8 * (kContainerLimitRows.size() + 1));
  check_edges(number_key(kHotPromptRow));
  check_table(kRunLimitRows);
  CHECK(sizeof(RunLimits) == 8 + 16 * (kRunLimitRows.size() - 1));
}

TEST_CASE("config: a recipe key is documented with the range that the controller has") {
  const std::string keys = describe_keys();
  for (const ParameterRow& row : kParameterTable) {
    CAPTURE(row.key);
    CHECK(keys.find(std::string("\nrecipe.") + row.key + " | ") != std::string::npos);
  }
  CHECK(keys.find("\nrecipe.dose_ug | 1..10000000 ug | must be given | ") != std::string::npos);
  CHECK(keys.find("\nrecipe.wait_source | fixed, belt_speed, place, queue | fixed | ") !=
        std::string::npos);
}

TEST_CASE("config: numbers are read the same with any sign, point or exponent that is allowed") {
  std::string problem;
  CHECK(parse_real("-0.5", problem) == -0.5);
  CHECK(parse_real("1e-3", problem) == 0.001);
  CHECK(parse_real("2.5E+2", problem) == 250.0);
  CHECK(parse_whole("-0", problem) == 0);
  for (const char* text : {"", "-", ".5", "5.", "1,5", "1e", "1e400", "00", "-01", "0x1p3", " 1",
                           "1 ", "--1", "infinity", "NaN", "1e-400"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_real(text, problem));
  }
  CHECK(number_text(0.01) == "0.01");
  CHECK(number_text(604'800'000'000.0) == "604800000000");
}
