#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/curve.hpp"
#include "firmware_sim/core/fixed_ring.hpp"
#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/units/mul_div.hpp"
#include "tests/core/line_on_rails.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// True if `act` ends in rimebench::panic. It runs in a process of its own, which must not end any
/// other way.
template <class Act>
bool panics(Act act) {
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    std::signal(SIGABRT, SIG_DFL);
    std::freopen("/dev/null", "w", stderr);
    act();
    _exit(0);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  return WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT;
}

constexpr SignalChange at(std::int64_t us) { return {Instant{us}, Channel::kRunPermit, 1}; }

}  // namespace

TEST_CASE("panic: an input at an instant already settled, and not one microsecond later") {
  const auto after = [](std::int64_t us) {
    return panics([us] {
      DoseController controller;
      controller.on_change(at(1'000));
      controller.advance(Instant{1'001});
      controller.on_change(at(us));
    });
  };
  CHECK(after(1'000));
  CHECK_FALSE(after(1'001));
}

TEST_CASE("panic: inputs of two instants without an advance between them") {
  CHECK(panics([] {
    DoseController controller;
    controller.on_change(at(1'000));
    controller.on_change(at(1'001));
  }));
  CHECK(panics([] {
    DoseController controller;
    controller.on_change(at(1'000));
    controller.on_change(at(999));
  }));
}

TEST_CASE("panic: an output handed in as an input, but not the last input channel there is") {
  const auto handed = [](Channel channel) {
    return panics([channel] { DoseController().on_change({Instant{1}, channel, 1}); });
  };
  CHECK(handed(Channel::kValve));
  CHECK_FALSE(handed(Channel::kRecipeCommit));
}

TEST_CASE("panic: an input past a timer that is due") {
  const auto next_input_at = [](std::int64_t us) {
    return panics([us] {
      Script script;
      script.started(rotary_recipe());
      const Changes inputs = script.set(10'000, Channel::kContainerSensor, 1).changes();
      DoseController controller;
      run_grant(controller, inputs, Instant{10'001}, kNoFeedback, [](SignalChange) {});
      controller.on_change({Instant{us}, Channel::kRoomOxygen, 1});
    });
  };
  CHECK_FALSE(next_input_at(12'000));  // the debounce ends there
  CHECK(next_input_at(12'001));
}

TEST_CASE("panic: a product that leaves 64 bits, a division by nothing") {
  CHECK(panics([] { checked_product(INT64_MAX, 2); }));
  CHECK_FALSE(panics([] { checked_product(INT64_MAX, 1); }));
  for (const std::int64_t by : {0, -1}) {
    CHECK(panics([by] { mul_div_floor(1, 1, by); }));
    CHECK(panics([by] { mul_div_ceil(1, 1, by); }));
  }
}

TEST_CASE("panic: a ring read past its end, filled past its room or emptied below nothing") {
  using Ring = FixedRing<int, 4>;
  CHECK(panics([] { Ring()[0] = 1; }));
  CHECK(panics([] {
    const Ring ring;
    static_cast<void>(ring[0]);
  }));
  CHECK(panics([] { Ring().pop_front(); }));
  const auto push = [](int count) {
    return panics([count] {
      Ring ring;
      for (int i = 0; i < count; ++i) ring.push_back(i);
    });
  };
  CHECK_FALSE(push(4));
  CHECK(push(5));
}

TEST_CASE("panic: a container leaves that has not passed the nozzle") {
  CHECK(panics([] {
    ContainerQueue queue;
    queue.admit({});
    queue.leave();
  }));
}

TEST_CASE("panic: an empty curve is read") {
  CHECK(panics([] { Curve().at(0); }));
  CHECK(panics([] { Curve().last(); }));
  CHECK(panics([] { Curve().spans(0); }));
}

TEST_CASE("panic: outputs out of order, twice, or read past their end") {
  const auto pushed = [](Channel first, Channel second) {
    return panics([=] {
      Outputs outputs(Instant{0});
      outputs.push_back(first, 1);
      outputs.push_back(second, 1);
    });
  };
  CHECK_FALSE(pushed(Channel::kValve, Channel::kReject));
  CHECK(pushed(Channel::kReject, Channel::kValve));
  CHECK(pushed(Channel::kValve, Channel::kValve));
  CHECK(panics([] { static_cast<void>(Outputs(Instant{0})[0]); }));
}

TEST_CASE("panic: a grant that may not go on after an output") {
  CHECK(panics([] {
    DoseController controller;
    run_grant(controller, {}, Instant{1}, Duration{0}, [](SignalChange) {});
  }));
}
