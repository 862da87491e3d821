#include <doctest/doctest.h>

#include "harness/report/timing_picture.hpp"

namespace rimebench {
namespace {

Stretch stretch(std::int64_t from, std::int64_t until, bool own) {
  return {{Instant{from}, Instant{until}}, own, {}, {}, {}};
}

/// A container seen at 1 s, dosed for 20 ms at 1.5 s, closed at 3 s; a neighbour before it.
TimingPicture drawn() {
  TimingPicture picture;
  picture.title = "Container 2 & its <neighbour>";
  picture.subtitle = "one shot, good";
  picture.lanes = {
      {LaneKind::kSensor,
       "container sensor",
       {stretch(600'000, 800'000, false), stretch(1'000'000, 1'200'000, true)}},
      {LaneKind::kCommand, "valve commanded", {stretch(1'500'000, 1'520'000, true)}},
      {LaneKind::kClosing, "seam closed", {stretch(3'000'000, 3'000'000, true)}},
  };
  picture.zero = Instant{1'000'000};
  picture.whole = {Instant{600'000}, Instant{3'060'000}};
  picture.shot = {Instant{1'490'000}, Instant{1'530'000}};
  picture.shot_zero = Instant{1'500'000};
  picture.facts = {{"landing to seam", "1.480 s"}};
  return picture;
}

std::string line_with(const std::string& text, const std::string& start, std::size_t from = 0) {
  const std::size_t at = text.find("\n" + start, from) + 1;
  return text.substr(at, text.find('\n', at) - at);
}

TEST_CASE("time axis: half a minute is ticked every 5 s, 40 ms every 5 ms, from the zero") {
  const TimeAxis minute = time_axis({Instant{0}, Instant{30'000'000}}, Instant{1'000'000});
  CHECK(minute.unit == "s");
  REQUIRE(minute.ticks.size() == 6);
  CHECK(minute.ticks[0].text == "0");
  CHECK(minute.ticks[0].at == Instant{1'000'000});
  CHECK(minute.ticks[1].text == "5");
  const TimeAxis shot = time_axis({Instant{-10'000}, Instant{30'000}}, Instant{0});
  CHECK(shot.unit == "ms");
  CHECK(shot.ticks.front().text == "-10");
  CHECK(shot.ticks.back().text == "30");
}

TEST_CASE("picture: in the terminal a container's own pulse stands 30 ms wide at its place") {
  const std::string text = to_lanes(drawn());
  const std::string sensor = line_with(text, "container sensor");
  // 82 columns for 2.46 s: 30 ms a column, after 18 columns of names.
  CHECK(sensor.size() == 100);
  CHECK(sensor.substr(18, 21) == "------.......#######.");
  CHECK(line_with(text, "seam closed").find('|') == 18 + 80);
  CHECK(text.find("landing to seam") != std::string::npos);
}

TEST_CASE("picture: the shot alone leaves out the lanes that are empty then") {
  const std::string text = to_lanes(drawn());
  const std::size_t shot = text.find("the shot");
  REQUIRE(shot != std::string::npos);
  CHECK(text.find("container sensor", shot) == std::string::npos);
  const std::string valve = line_with(text, "valve commanded", shot);
  CHECK(valve.find('#') == 18 + 20);
  CHECK(valve.rfind('#') == 18 + 60);
}

TEST_CASE("picture: a container without a shot has the whole way alone") {
  TimingPicture picture = drawn();
  picture.shot = {};
  CHECK(to_lanes(picture).find("the shot") == std::string::npos);
  CHECK(to_svg(picture).find("The shot") == std::string::npos);
}

TEST_CASE(
    "picture: the SVG closes every element, escapes its texts and has no number that is none") {
  const std::string svg = to_svg(drawn());
  CHECK(svg.find("<svg") == 0);
  CHECK(svg.find("Container 2 &amp; its &lt;neighbour&gt;") != std::string::npos);
  CHECK(svg.find("nan") == std::string::npos);
  CHECK(svg.find("inf") == std::string::npos);
  std::size_t opened = 0, closed = 0;
  for (std::size_t i = 0; i + 1 < svg.size(); ++i) {
    opened += svg[i] == '<' && svg[i + 1] != '/';
    closed += (svg[i] == '<' && svg[i + 1] == '/') || (svg[i] == '/' && svg[i + 1] == '>');
  }
  CHECK(opened == closed);
}

}  // namespace
}  // namespace rimebench
