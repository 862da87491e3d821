#include <doctest/doctest.h>

#include <array>

#include "firmware_sim/core/rimebench_core.h"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

Script two_containers() {
  Script script;
  script.started(rotary_recipe()).belt(0, 3'000'000, 10'000).container(103'000);
  return script.pulse(303'500, Channel::kContainerSensor, 20'000);
}

/// The loop that rimebench_core.h describes, through the four functions of a controller.
Changes play_in_c(const Changes& inputs, std::int64_t until_us) {
  static rimebench_core core;
  const rimebench_controller controller = rimebench_core_controller(&core);
  controller.start(controller.context);
  Changes outputs;
  std::size_t taken = 0;
  while (true) {
    const std::int64_t wake = controller.next_wake(controller.context);
    const std::int64_t input = taken < inputs.size() ? inputs[taken].at.us : RIMEBENCH_NEVER;
    const std::int64_t now = wake < input ? wake : input;
    if (now >= until_us) return outputs;
    for (; taken < inputs.size() && inputs[taken].at.us == now; ++taken) {
      const rimebench_change change{now, number(inputs[taken].channel), inputs[taken].value};
      controller.on_change(controller.context, &change);
    }
    std::array<rimebench_change, RIMEBENCH_OUTPUTS_MAX> changed{};
    const std::size_t count = controller.advance(controller.context, until_us, changed.data());
    for (std::size_t i = 0; i < count; ++i) {
      outputs.push_back(
          {Instant{changed[i].at_us}, static_cast<Channel>(changed[i].channel), changed[i].value});
    }
  }
}

}  // namespace

TEST_CASE("interface: through the plain C functions the controller does the same") {
  const Changes expected = play(two_containers(), 3'500'000);
  REQUIRE(expected.size() > 10);
  const Changes inputs = two_containers().changes();
  CHECK(play_in_c(inputs, 3'500'000) == expected);
  CHECK(play_in_c(inputs, 3'500'000) == expected);  // start forgets everything
}

TEST_CASE("interface: a level said twice is no change, and unknown input channels are ignored") {
  Script script = two_containers();
  const std::string before = history(play(script, 1'000'000), Channel::kValve);
  script.set(620'000, Channel::kRunPermit, 1).set(621'000, Channel::kSafetyChain, 1);
  script.set(622'000, static_cast<Channel>(0x0100), 1);
  script.set(622'000, static_cast<Channel>(0x1800), 1);
  CHECK(history(play(script, 1'000'000), Channel::kValve) == before);
}

TEST_CASE("interface: line pulses before any recipe mean nothing") {
  Script script;
  script.belt(0, 100'000, 10'000);
  CHECK(history(play(script, 200'000), Channel::kMode) == "");
}

TEST_CASE("interface: a commit said twice is taken once") {
  Script script;
  script.started(rotary_recipe());
  script.set(5'000, Channel::kRecipeCommit, rotary_recipe().commit_value());
  CHECK(history(play(script, 10'000), Channel::kRecipeState) == "1000=1");
}

TEST_CASE("interface: the first microsecond is one like any other") {
  Script script;
  script.set(0, Channel::kSafetyChain, 1).set(0, Channel::kLinkAlive, 1);
  script.started(rotary_recipe());
  CHECK(history(play(script, 10'000), Channel::kMode) == "2000=1 3000=2");
}
