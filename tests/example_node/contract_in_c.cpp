#include <doctest/doctest.h>

#include <cctype>
#include <cstddef>
#include <string>
#include <vector>

#include "firmware_sim/contract/channel_table.hpp"
#include "firmware_sim/contract/fault_table.hpp"
#include "firmware_sim/contract/parameter_table.hpp"
#include "firmware_sim/core/grant.hpp"
#include "firmware_sim/core/rimebench_core.h"
#include "firmware_sim/port/c_controller.hpp"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;

namespace {

struct Named {
  std::string name;
  int number;
  friend bool operator==(const Named&, const Named&) = default;
};
using Names = std::vector<Named>;

Named lower(std::string name, int number) {
  for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return {name, number};
}

#define NAMED(name, number) lower(#name, number),
const Names kChannels{RIMEBENCH_CHANNELS(NAMED)};
const Names kFaults{RIMEBENCH_FAULTS(NAMED)};
const Names kCounters{RIMEBENCH_COUNTERS(NAMED)};
const Names kModes{RIMEBENCH_MODES(NAMED)};

/// Our own controller behind the C interface and back.
rails::Changes play_through_c(const rails::Changes& inputs, Instant until) {
  static rimebench_core core;
  const rimebench_controller in_c = rimebench_core_controller(&core);
  CController::choose(in_c);
  CController controller;
  rails::Changes outputs;
  run_grant(controller, inputs, until, kNoFeedback,
            [&](SignalChange change) { outputs.push_back(change); });
  return outputs;
}

}  // namespace

static_assert(sizeof(rimebench_change) == sizeof(SignalChange));
static_assert(offsetof(rimebench_change, at_us) == offsetof(SignalChange, at));
static_assert(offsetof(rimebench_change, channel) == offsetof(SignalChange, channel));
static_assert(offsetof(rimebench_change, value) == offsetof(SignalChange, value));
static_assert(RIMEBENCH_CHANNEL_RECIPE_FIRST == number(Channel::kRecipeFirst));
static_assert(RIMEBENCH_CHANNEL_COUNTER_FIRST == number(Channel::kCounterFirst));
static_assert(RIMEBENCH_SLOTS == kParameterSlots);
static_assert(RIMEBENCH_FAULT_COUNT == static_cast<int>(Fault::kCount));
static_assert(RIMEBENCH_COUNTER_COUNT == static_cast<int>(Counter::kCount));
static_assert(RIMEBENCH_MODE_COUNT == static_cast<int>(Mode::kCount));
static_assert(RIMEBENCH_RECIPE_ACCEPTED == kRecipeAccepted);
static_assert(RIMEBENCH_RECIPE_REFUSED_RUNNING == kRecipeRefusedRunning);
static_assert(RIMEBENCH_RECIPE_REFUSED_CHECKSUM == kRecipeRefusedChecksum);
static_assert(RIMEBENCH_RECIPE_REFUSED_SLOT == kRecipeRefusedSlot);

TEST_CASE("C header: its channels are those of the table, name and number") {
  Names table;
  for (const ChannelRow& row : kChannelTable) table.push_back({row.name, number(row.channel)});
  CHECK(kChannels == table);
}

TEST_CASE("C header: its parameters have the slots, entries and ranges of the table") {
  struct Row {
    Named named;
    int entries;
    std::int32_t least, most;
  };
#define PARAMETER_ROW(name, slot, entries, least, most) {lower(#name, slot), entries, least, most},
  const std::vector<Row> rows{RIMEBENCH_PARAMETERS(PARAMETER_ROW)};
  REQUIRE(rows.size() == kParameterTable.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const ParameterRow& row = kParameterTable[i];
    CAPTURE(row.key);
    CHECK(rows[i].named == Named{row.key, slot(row.parameter)});
    CHECK(rows[i].entries == row.entries);
    CHECK(rows[i].least == row.min);
    CHECK(rows[i].most == row.max);
  }
}

TEST_CASE("C header: its faults, counters and modes are those of the tables") {
  Names faults;
  for (const FaultRow& row : kFaultTable) faults.push_back({row.name, static_cast<int>(row.fault)});
  CHECK(kFaults == faults);
  Names counters;
  for (const CounterRow& row : kCounterTable) {
    counters.push_back({row.name, static_cast<int>(row.counter)});
  }
  CHECK(kCounters == counters);
  Names modes;
  for (std::size_t i = 0; i < kModeNames.size(); ++i) {
    modes.push_back(lower(kModeNames[i], static_cast<int>(i)));
  }
  CHECK(kModes == modes);
}

TEST_CASE("C binding: our controller puts out the same through C as without it") {
  rails::Script script;
  script.started(rails::rotary_recipe()).belt(0, 3'000'000, 10'000);
  script.container(103'000).container(403'000).container(1'203'000);
  script.set(933'000, Channel::kRunPermit, 0);
  const rails::Changes expected = rails::play(script, 3'000'000);
  CHECK(expected.size() > 10);
  CHECK(play_through_c(script.changes(), Instant{3'000'000}) == expected);
}

TEST_CASE("C binding: start forgets everything") {
  rails::Script script;
  script.started(rails::rotary_recipe());
  const rails::Changes once = play_through_c(script.changes(), Instant{50'000});
  CHECK(play_through_c(script.changes(), Instant{50'000}) == once);
}

TEST_CASE("C controller: outputs that repeat the present value are left out") {
  static Instant settled{-1};
  const rimebench_controller repeats{
      nullptr, [](void*) {}, [](void*, const rimebench_change*) {},
      [](void*, std::int64_t, rimebench_change* outputs) -> std::size_t {
        settled = settled + 1_us;
        outputs[0] = {settled.us, RIMEBENCH_CHANNEL_LINE_PERMIT, 1};
        outputs[1] = {settled.us, RIMEBENCH_CHANNEL_ALARM, 0};
        return 2;
      },
      [](const void*) { return settled.us + 1; }};
  CController::choose(repeats);
  CController controller;
  rails::Changes outputs;
  run_grant(controller, {}, Instant{20}, kNoFeedback,
            [&](SignalChange change) { outputs.push_back(change); });
  CHECK(outputs == rails::Changes{{Instant{0}, Channel::kLinePermit, 1}});
}
