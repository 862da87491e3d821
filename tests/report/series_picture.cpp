#include "harness/report/series_picture.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace rimebench;

namespace {

SeriesPicture two_hours() {
  SeriesPicture picture{"Line speed of <a>", "a day", "containers a minute", 60.0, {}};
  for (int i = 0; i < 120; ++i) picture.bands.push_back({600.0, 605.0, false});
  picture.bands[40] = {0.0, 605.0, false};
  picture.bands[80] = {};
  return picture;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++found;
  }
  return found;
}

}  // namespace

TEST_CASE("series: a stretch without values parts the drawing, a dip in one stretch stays in it") {
  const std::string svg = to_svg(two_hours());
  CHECK(count(svg, "Z\" fill=") == 2);
  CHECK(svg.find("Line speed of &lt;a&gt;") != std::string::npos);
  CHECK(svg.find("http") == svg.find("http://www.w3.org/2000/svg"));
  const std::string rows = to_rows(two_hours());
  // The dip reaches the lowest row, in one column.
  const std::size_t lowest = rows.find("       0 |");
  REQUIRE(lowest != std::string::npos);
  CHECK(count(rows.substr(lowest, 100), "#") == 1);
}

TEST_CASE("series: ticks are round times, at most as many as asked for") {
  for (const double length_s : {0.5, 7.0, 90.0, 3'600.0, 28'800.0, 604'800.0, 3e7}) {
    const auto ticks = clock_ticks(length_s, 12);
    CAPTURE(length_s);
    CHECK(ticks.size() <= 13);
    CHECK(ticks.back().at_s <= length_s);
  }
  CHECK(clock_ticks(28'800.0, 12).back().text == "8:00 h");
  CHECK(clock_ticks(90.0, 6).at(1).text == "0:15 min");
}

TEST_CASE("series: a name with bytes that are no UTF-8, or a control character, is still XML") {
  SeriesPicture picture = two_hours();
  picture.title = "log \xFF\x01 \xC3\xA9";
  CHECK(to_svg(picture).find("log \xEF\xBF\xBD\xEF\xBF\xBD \xC3\xA9") != std::string::npos);
}
