#include <doctest/doctest.h>

#include <set>
#include <string>

#include "firmware_sim/contract/channel_table.hpp"
#include "firmware_sim/contract/fault_table.hpp"
#include "firmware_sim/contract/parameter_table.hpp"
#include "firmware_sim/contract/signal_change.hpp"

using namespace rimebench;

TEST_CASE(
    "contract: no two channels share a number or a name, and the table stands in number order") {
  std::set<std::string> names;
  std::uint16_t last = 0;
  for (const ChannelRow& row : kChannelTable) {
    CHECK(number(row.channel) > last);
    last = number(row.channel);
    CHECK(names.insert(row.name).second);
  }
}

TEST_CASE("contract: every parameter key ends in its unit") {
  for (const ParameterRow& row : kParameterTable) {
    const std::string key = row.key;
    const std::string unit = row.unit;
    if (unit == "um/s") CHECK(key.find("_um_per_s") != std::string::npos);
    if (unit == "um" || unit == "us" || unit == "ug" || unit == "ppm") {
      CHECK(key.find("_" + unit) != std::string::npos);
    }
  }
}

TEST_CASE("contract: at one instant inputs come before outputs and outputs before witnesses") {
  const Instant now{5};
  const SignalChange commit{now, Channel::kRecipeCommit, 1};
  const SignalChange valve{now, Channel::kValve, 1};
  const SignalChange landing{now, Channel::kLanding, 1};
  CHECK(canonical_before(commit, valve));
  CHECK(canonical_before(valve, landing));
  CHECK(canonical_before(landing, SignalChange{Instant{6}, Channel::kContainerSensor, 1}));
  CHECK(class_of(recipe_channel(kParameterSlots - 1)) == ChannelClass::kToController);
  CHECK(class_of(counter_channel(Counter::kRejected)) == ChannelClass::kFromController);
}

TEST_CASE("contract: one slot changed by 1 changes what a commit carries") {
  RecipeValues values;
  std::set<std::int32_t> seen{values.commit_value()};
  for (int index = 0; index < kParameterSlots; ++index) {
    RecipeValues changed = values;
    changed.set_slot(index, 1);
    CHECK(seen.insert(changed.commit_value()).second);
  }
}

TEST_CASE("contract: fault, counter and mode names are unique and in enum order") {
  int next = 0;
  for (const FaultRow& row : kFaultTable) CHECK(static_cast<int>(row.fault) == next++);
  next = 0;
  for (const CounterRow& row : kCounterTable) CHECK(static_cast<int>(row.counter) == next++);
}

TEST_CASE("contract: a fault has its own name, what is none has no name") {
  for (const FaultRow& row : kFaultTable) {
    CHECK(std::string(fault_name(static_cast<std::int32_t>(row.fault))) == row.name);
  }
  CHECK(fault_name(static_cast<std::int32_t>(kFaultTable.size()) + 1) == nullptr);
  CHECK(fault_name(-1) == nullptr);
}
