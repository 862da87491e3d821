#include "harness/report/series_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "harness/config/xml_text.hpp"
#include "harness/report/svg_colours.hpp"

namespace rimebench {

namespace {

constexpr double kWidth = 960, kHeight = 360, kLeft = 64, kRight = 32, kTop = 88, kBottom = 36;
constexpr int kColumns = 88;
constexpr int kRows = 12;
constexpr std::array<double, 20> kSteps{1,     2,     5,     10,    15,     30,    60,
                                        120,   300,   600,   900,   1800,   3600,  7200,
                                        14400, 21600, 43200, 86400, 172800, 604800};

double most_of(const SeriesPicture& picture) {
  double most = 0.0;
  for (const SeriesBand& band : picture.bands) {
    if (!band.empty) most = std::max(most, band.most);
  }
  return most;
}

/// A round figure of at least `value`.
double round_up(double value) {
  if (value <= 0.0) return 1.0;
  const double decade = std::pow(10.0, std::floor(std::log10(value)));
  for (const double times : {1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0}) {
    if (decade * times >= value) return decade * times;
  }
  return decade * 10.0;
}

class SeriesSvg {
 public:
  explicit SeriesSvg(const SeriesPicture& picture)
      : picture_(picture),
        length_s_(std::max(1e-6, picture.band_s * static_cast<double>(picture.bands.size()))),
        top_(round_up(most_of(picture))) {}

  std::string draw() {
    svg_ = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:g} {1:g}\" role=\"img\" "
        "font-family=\"system-ui, sans-serif\" font-size=\"13\" fill=\"{3}\">\n"
        "<title>{2}</title>\n<rect width=\"{0:g}\" height=\"{1:g}\" fill=\"{4}\"/>\n",
        kWidth, kHeight, xml_text(picture_.title), kInk, kPaper);
    text(16, 26, picture_.title, "font-size=\"17\" font-weight=\"600\"");
    text(16, 46, picture_.subtitle, soft());
    grid();
    bands();
    svg_ += "</svg>\n";
    return svg_;
  }

 private:
  static std::string soft() { return fmt::format("fill=\"{}\"", kSoft); }
  double x(double at_s) const { return kLeft + (kWidth - kLeft - kRight) * at_s / length_s_; }
  double y(double value) const {
    return kHeight - kBottom - (kHeight - kTop - kBottom) * value / top_;
  }
  void text(double at_x, double at_y, const std::string& what, const std::string& style) {
    svg_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" {}>{}</text>\n", at_x, at_y, style,
                        xml_text(what));
  }
  void line(double x1, double y1, double x2, double y2) {
    svg_ +=
        fmt::format("<path d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\" stroke=\"{}\" stroke-width=\"1\"/>\n",
                    x1, y1, x2, y2, kHair);
  }

  void grid() {
    constexpr int kLines = 4;
    for (int i = 0; i <= kLines; ++i) {
      const double value = top_ * i / kLines;
      line(kLeft, y(value), kWidth - kRight, y(value));
      text(kLeft - 8, y(value) + 4, fmt::format("{:g}", value), "text-anchor=\"end\"");
    }
    text(kLeft, kTop - 10, picture_.unit, soft());
    for (const ClockTick& tick : clock_ticks(length_s_, 12)) {
      line(x(tick.at_s), y(0), x(tick.at_s), y(0) + 5);
      text(x(tick.at_s), kHeight - kBottom + 20, tick.text, "text-anchor=\"middle\"");
    }
  }

  /// A closed band for each run of stretches that have values, never thinner than a line.
  void bands() {
    const auto& all = picture_.bands;
    for (std::size_t i = 0; i < all.size();) {
      if (all[i].empty) {
        ++i;
        continue;
      }
      std::size_t end = i;
      while (end < all.size() && !all[end].empty) ++end;
      std::string path;
      for (std::size_t k = i; k < end; ++k) path += point(path.empty(), k, all[k].most);
      for (std::size_t k = end; k-- > i;) path += point(false, k, all[k].least);
      svg_ += "<path d=\"" + path +
              "Z\" fill=\"#2f6f9f\" stroke=\"#2f6f9f\" stroke-width=\"1.4\" "
              "stroke-linejoin=\"round\"/>\n";
      i = end;
    }
  }
  std::string point(bool first, std::size_t band, double value) const {
    return fmt::format("{}{:.1f} {:.1f}", first ? 'M' : 'L',
                       x(picture_.band_s * (static_cast<double>(band) + 0.5)), y(value));
  }

  const SeriesPicture& picture_;
  double length_s_;
  double top_;
  std::string svg_;
};

SeriesBand joined_bands(const std::vector<SeriesBand>& bands, std::size_t from, std::size_t until) {
  SeriesBand all;
  for (std::size_t i = from; i < until; ++i) {
    if (bands[i].empty) continue;
    all = all.empty ? bands[i]
                    : SeriesBand{std::min(all.least, bands[i].least),
                                 std::max(all.most, bands[i].most), false};
  }
  return all;
}

}  // namespace

std::vector<ClockTick> clock_ticks(double length_s, int most) {
  double step = kSteps.back();
  for (const double candidate : kSteps) {
    if (length_s / candidate <= most) {
      step = candidate;
      break;
    }
  }
  while (length_s / step > most) step *= 2.0;
  std::vector<ClockTick> ticks;
  for (int i = 0; i * step <= length_s; ++i) {
    const auto s = static_cast<long>(i * step);
    ticks.push_back({i * step, step < 60 ? fmt::format("{}:{:02} min", s / 60, s % 60)
                                         : fmt::format("{}:{:02} h", s / 3600, s / 60 % 60)});
  }
  return ticks;
}

std::string to_svg(const SeriesPicture& picture) { return SeriesSvg(picture).draw(); }

std::string to_rows(const SeriesPicture& picture) {
  const std::size_t bands = picture.bands.size();
  const std::size_t columns = std::min<std::size_t>(kColumns, bands);
  if (columns == 0) return "";
  const double top = round_up(most_of(picture));
  std::vector<std::string> rows(kRows, std::string(columns, ' '));
  for (std::size_t column = 0; column < columns; ++column) {
    const SeriesBand band =
        joined_bands(picture.bands, column * bands / columns, (column + 1) * bands / columns);
    if (band.empty) continue;
    const auto row_of = [&](double value) {
      return std::clamp(static_cast<int>(std::lround(value / top * (kRows - 1))), 0, kRows - 1);
    };
    for (int row = row_of(band.least); row <= row_of(band.most); ++row) {
      rows[static_cast<std::size_t>(row)][column] = '#';
    }
  }
  std::string text = "  " + picture.unit + "\n";
  for (int row = kRows - 1; row >= 0; --row) {
    const bool labelled = row == 0 || row == kRows - 1;
    text += fmt::format("{:>8} |{}\n", labelled ? fmt::format("{:g}", top * row / (kRows - 1)) : "",
                        rows[static_cast<std::size_t>(row)]);
  }
  std::string axis(columns + 10, ' ');
  const double length_s = picture.band_s * static_cast<double>(bands);
  for (const ClockTick& tick : clock_ticks(length_s, 6)) {
    const auto at =
        10 + static_cast<std::size_t>(tick.at_s / length_s * static_cast<double>(columns));
    if (at + tick.text.size() <= axis.size()) axis.replace(at, tick.text.size(), tick.text);
  }
  return text + axis.substr(0, axis.find_last_not_of(' ') + 1) + "\n";
}

}  // namespace rimebench
