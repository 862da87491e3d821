#include <doctest/doctest.h>

#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

// Worked by hand. The belt stands at 0.6 um/us * t. A container whose leading edge passes at t has
// its centre 33 mm behind, so under the nozzle (300 mm) at t + 555 000, open at t + 520 000, closed
// 20 000 later, seamed (900 mm) at t + 1 555 000 and at the gate (1 500 mm) at t + 2 555 000.
TEST_CASE("controller: three containers on a rotary line, one narrow, one cut by the permit") {
  Script script;
  script.started(rotary_recipe()).belt(0, 3'000'000, 10'000);
  script.container(103'000);
  script.pulse(253'500, Channel::kContainerSensor, 40'000);  // 24 mm wide: not plausible
  script.container(403'000);
  script.pulse(600'200, Channel::kContainerSensor, 500);  // a drop of drink
  script.set(933'000, Channel::kRunPermit, 0);            // 10 000 us into the third one's shot

  const Changes expected = {
      {{1'000}, Channel::kReject, 1},  // for whatever is on the line already
      {{1'000}, Channel::kLinePermit, 1},
      {{1'000}, Channel::kRecipeState, kRecipeAccepted},
      {{2'000}, Channel::kSupplyIsolation, 1},
      {{2'000}, Channel::kMode, static_cast<int>(Mode::kIdle)},
      {{3'000}, Channel::kMode, static_cast<int>(Mode::kExecute)},
      // The second container's trailing edge, believed 2 000 us after it showed at 293 500.
      {{295'500}, counter_channel(Counter::kWidthImplausible), 1},
      {{600'700}, counter_channel(Counter::kChatterRejected), 1},
      // The first: 103 000 + 520 000. The second, due at 773 000, gets nothing.
      {{623'000}, Channel::kValve, 1},
      {{643'000}, Channel::kValve, 0},
      {{923'000}, Channel::kValve, 1},
      {{933'000}, Channel::kValve, 0},
      {{933'000}, Channel::kMode, static_cast<int>(Mode::kSuspended)},
      {{933'000}, counter_channel(Counter::kShotCut), 1},
      // The first waited 1 658 000 - 658 000 = 1 s as expected (600 mm at 600 mm/s): it is good.
      // The others are decided at the first pulse past the seam, which they come to at 253 000 +
      // 1 555 000 and 403 000 + 1 555 000.
      {{1'810'000}, counter_channel(Counter::kRejected), 1},
      {{1'960'000}, counter_channel(Counter::kRejected), 2},
      // The gate is out while the centre is within 20 mm of it: from 33 333.3 us before (rounded up
      // to the microsecond) until the first micrometre past 20 mm, 33 335 us after.
      // 1 500 + 33 + 20 mm and a pulse from where it came up.
      {{2'598'334}, Channel::kReject, 0},
      {{2'774'667}, Channel::kReject, 1},
      {{2'841'335}, Channel::kReject, 0},
      {{2'924'667}, Channel::kReject, 1},
      {{2'991'335}, Channel::kReject, 0},
  };
  const Changes outputs = play(script, 3'000'000);
  REQUIRE(outputs.size() == expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    CAPTURE(i);
    CHECK(outputs[i].at.us == expected[i].at.us);
    CHECK(number(outputs[i].channel) == number(expected[i].channel));
    CHECK(outputs[i].value == expected[i].value);
  }
}
