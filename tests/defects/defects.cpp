#include <doctest/doctest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <string>

namespace {

/// Exit code of `rimebench run` on a scenario of config/scenarios: 0 pass, 1 fail. `variant` is
/// empty, or names the executable with a planted defect.
int verdict_of(const std::string& variant, const std::string& scenario) {
  const std::string command = std::string(RIMEBENCH_COMMAND) + variant +
                              " run " REPOSITORY_DIR "/config/scenarios/" + scenario +
                              ".yaml >/dev/null";
  const int status = std::system(command.c_str());
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/// True if the scenario passes as it is, and fails with this defect planted.
void check_found(int defect, const std::string& scenario) {
  CAPTURE(scenario);
  CHECK(verdict_of("", scenario) == 0);
  CHECK(verdict_of("_defect_" + std::to_string(defect), scenario) == 1);
}

}  // namespace

TEST_CASE("defects: 1, the sensor's latency added instead of taken off, moves the landing") {
  check_found(1, "landing_accuracy");
}

TEST_CASE("defects: 2, the flight forgotten, lands every shot behind the centre") {
  check_found(2, "landing_accuracy");
  check_found(2, "speed_ramp");
}

TEST_CASE("defects: 3, places counted from one, doses for the next place's wait") {
  check_found(3, "inline_ramp");
}

TEST_CASE("defects: 4, no debounce, believes every drop on the sensor") {
  check_found(4, "missing_containers");
}

TEST_CASE("defects: 5, one container too late at the gate, lets the bad one pass") {
  check_found(5, "stop_restart");
}

TEST_CASE("defects: 6, no guard, never notices a valve that does not open in time") {
  check_found(6, "sticking_valve");
}

TEST_CASE("defects: 7, a model whose valve acts at once, doses more than the recipe meant") {
  check_found(7, "rotary_steady");
}

TEST_CASE("defects: 8, a model whose seamer is never busy, shows containers that did not wait") {
  check_found(8, "inline_ramp");
}

TEST_CASE("defects: a defect elsewhere does not show: the places of a rotary line are all one") {
  CHECK(verdict_of("_defect_3", "rotary_steady") == 0);
  CHECK(verdict_of("_defect_8", "rotary_steady") == 0);
}
