#pragma once

/// One figure over time, drawn as the band between its least and greatest value in each stretch: a
/// long series loses no peak. A neutral description goes in; an SVG or lines for the terminal come
/// out.

#include <string>
#include <vector>

namespace rimebench {

struct SeriesBand {
  double least{};
  double most{};
  bool empty{true};
};

struct SeriesPicture {
  std::string title;
  std::string subtitle;
  std::string unit;
  double band_s{1.0};             ///< length of one stretch
  std::vector<SeriesBand> bands;  ///< from time 0 on
};

/// One SVG file, with nothing outside it.
std::string to_svg(const SeriesPicture& picture);

/// Rows of characters, at most 100 columns wide.
std::string to_rows(const SeriesPicture& picture);

/// Ticks for an axis of hours and minutes, or of minutes and seconds where it is short.
struct ClockTick {
  double at_s{};
  std::string text;
};
std::vector<ClockTick> clock_ticks(double length_s, int most);

}  // namespace rimebench
