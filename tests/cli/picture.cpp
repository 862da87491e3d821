/// One container's timing out of a stored trace.

#include "harness/cli/container_timing.hpp"
#include "tests/cli/desk.hpp"

using namespace rimebench;

namespace {

std::size_t own(const TimingLane& lane) {
  std::size_t count = 0;
  for (const Stretch& stretch : lane.stretches) count += stretch.own;
  return count;
}

const TimingLane& lane_of(const TimingPicture& picture, LaneKind kind) {
  for (const TimingLane& lane : picture.lanes) {
    if (lane.kind == kind) return lane;
  }
  REQUIRE(false);
  return picture.lanes.front();
}

const Stretch& own_one(const TimingPicture& picture, LaneKind kind) {
  for (const Stretch& stretch : lane_of(picture, kind).stretches) {
    if (stretch.own) return stretch;
  }
  REQUIRE(false);
  return picture.lanes.front().stretches.front();
}

}  // namespace

TEST_CASE("picture: every container has one sensor pulse, one command and one opening of its own") {
  const Desk desk;
  REQUIRE(desk.run({"run", "short.yaml", "--trace", "run.trace"}).code == 0);
  for (const std::int64_t container : {1, 17, 100, 200}) {
    CAPTURE(container);
    std::string problem;
    const auto picture = container_timing((desk / "run.trace").string(), container, problem);
    REQUIRE(picture);
    for (const LaneKind kind :
         {LaneKind::kSensor, LaneKind::kCommand, LaneKind::kValve, LaneKind::kLanding}) {
      CHECK(own(lane_of(*picture, kind)) == 1);
    }
    const Stretch& command = own_one(*picture, LaneKind::kCommand);
    const Stretch& valve = own_one(*picture, LaneKind::kValve);
    const Stretch& landing = own_one(*picture, LaneKind::kLanding);
    // The rotary line's valve: 8 ms to open, 6 to close, each within three times 0.3 ms; the jet
    // falls 35 mm in 15.32 ms.
    const auto off = [](Duration time, std::int64_t us) {
      return time.raw < us ? us - time.raw : time.raw - us;
    };
    CHECK(off(valve.time.from - command.time.from, 8'000) <= 900);
    CHECK(off(valve.time.until - command.time.until, 6'000) <= 900);
    CHECK(off(landing.time.until - valve.time.until, 15'320) <= 10);
    CHECK(off(landing.time.from - valve.time.from, 15'320) <= 10);
  }
}

TEST_CASE("command: a container's picture goes to the terminal and to an SVG") {
  const Desk desk;
  REQUIRE(desk.run({"run", "short.yaml", "--trace", "run.trace"}).code == 0);
  const Ended picture = desk.run({"picture", "run.trace", "--container", "41", "--svg", "41.svg"});
  CHECK(picture.code == 0);
  CHECK(picture.err.empty());
  CHECK(says(picture.out, "Container 41"));
  CHECK(says(picture.out, "sensor edge to open command"));
  CHECK(content_of(desk / "41.svg").find("<svg") == 0);
}

TEST_CASE("command: a container that is not in the trace is bad input, with those that are") {
  const Desk desk;
  REQUIRE(desk.run({"run", "short.yaml", "--trace", "run.trace"}).code == 0);
  for (const char* number : {"0", "-3", "90000"}) {
    const Ended none =
        desk.run({"picture", "run.trace", "--container", number, "--svg", "none.svg"});
    CHECK(none.code == 3);
    CHECK(says(none.err, "is no container that finished (valid: 1.."));
    CHECK_FALSE(desk.has("none.svg"));
  }
  CHECK(desk.run({"picture", "run.trace"}).code == 3);
}

TEST_CASE("picture: a container that got no shot is drawn without one") {
  const Desk desk;
  desk.put("stopped.yaml",
           "happens: {stops: [{at_us: 20000000, for_us: 5000000, coast_us: 500000, ramp_us: "
           "3000000}]}\n");
  desk.run({"run", "stopped.yaml", "--trace", "run.trace", "--ledger", "run.csv"});
  std::string problem;
  bool met = false;
  for (std::int64_t container = 80; container < 130 && !met; ++container) {
    const auto picture = container_timing((desk / "run.trace").string(), container, problem);
    REQUIRE(picture);
    if (!says(picture->subtitle, "no shot")) continue;
    met = true;
    CHECK_FALSE(picture->has_shot());
    CHECK(own(lane_of(*picture, LaneKind::kCommand)) == 0);
  }
  CHECK(met);
}
