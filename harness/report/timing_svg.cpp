#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "harness/config/xml_text.hpp"
#include "harness/report/svg_colours.hpp"
#include "harness/report/timing_picture.hpp"

namespace rimebench {

namespace {

constexpr double kWidth = 1160, kLeft = 176, kRight = 40, kTop = 104;
constexpr double kLane = 38, kBar = 16, kPanelGap = 86, kPanelHead = 22;
constexpr double kFactRow = 24, kFactColumns = 3, kFactGap = 48;
constexpr const char* kNeighbour = "#d3d6d8";
/// An edge closer than this to the next is drawn as a plain band.
constexpr double kEdgeLeast = 3.0;
constexpr double kBandGap = 8.0;
/// A label beside a bar needs about this much a character.
constexpr double kCharacter = 6.4;

const char* colour_of(LaneKind kind) {
  switch (kind) {
    case LaneKind::kSensor:
      return "#5b6f94";
    case LaneKind::kLinePulse:
      return "#aab3bb";
    case LaneKind::kCommand:
      return "#0c7489";
    case LaneKind::kValve:
      return "#58a6b4";
    case LaneKind::kLanding:
      return "#d08a3c";
    case LaneKind::kClosing:
      return "#7a5480";
  }
  return kInk;
}

/// `anchor` is start, middle or end.
std::string words(double x, double y, const char* style, const std::string& text,
                  const char* anchor = "start") {
  return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" class=\"{}\" text-anchor=\"{}\">{}</text>\n",
                     x, y, style, anchor, xml_text(text));
}

std::string line(double x1, double y1, double x2, double y2, const char* colour) {
  return fmt::format(
      "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"{}\"/>\n", x1, y1, x2,
      y2, colour);
}

/// One of the two drawings.
class Panel {
 public:
  Panel(const TimingPicture& picture, const TimeSpan& span, Instant zero, double top)
      : span_(span), zero_(zero), top_(top) {
    for (const TimingLane& lane : picture.lanes) {
      if (shows(lane, span)) lanes_.push_back(&lane);
    }
  }

  double bottom() const { return top_ + kPanelHead + kLane * static_cast<double>(lanes_.size()); }
  double x(Instant at) const {
    const double share = static_cast<double>((at - span_.from).raw) /
                         static_cast<double>(std::max<std::int64_t>(span_.length().raw, 1));
    return kLeft + std::clamp(share, 0.0, 1.0) * (kWidth - kLeft - kRight);
  }

  /// `labels`: each stretch has its text beside it.
  std::string draw(const std::string& heading, bool labels) const {
    std::string svg = words(kLeft, top_ + 6, "heading", heading) + grid();
    for (std::size_t i = 0; i < lanes_.size(); ++i) {
      const double middle = top_ + kPanelHead + kLane * (static_cast<double>(i) + 0.5);
      svg += lane(*lanes_[i], middle, labels);
    }
    return svg;
  }

 private:
  std::string grid() const {
    const TimeAxis axis = time_axis(span_, zero_);
    const double from = top_ + kPanelHead;
    std::string svg;
    for (const TimeTick& tick : axis.ticks) {
      svg += line(x(tick.at), from, x(tick.at), bottom() + 5, kHair);
      svg += words(x(tick.at), bottom() + 20, "tick", tick.text, "middle");
    }
    return svg + words(kLeft - 14, bottom() + 20, "tick", axis.unit, "end") +
           line(kLeft, bottom(), kWidth - kRight, bottom(), kHair);
  }

  bool visible(const TimeSpan& time) const {
    return time.from <= span_.until && span_.from <= time.until;
  }

  std::string lane(const TimingLane& lane, double middle, bool labels) const {
    std::string svg = words(kLeft - 14, middle + 4.5, "lane", lane.name, "end");
    if (lane.kind == LaneKind::kLinePulse) return svg + pulses(lane, middle);
    for (const bool own : {false, true}) {
      for (const Stretch& stretch : lane.stretches) {
        if (stretch.own == own && visible(stretch.time)) svg += mark(lane, stretch, middle);
      }
    }
    for (const Stretch& stretch : lane.stretches) {
      if (labels && stretch.own && visible(stretch.time)) svg += label(stretch, middle);
    }
    return svg;
  }

  std::string mark(const TimingLane& lane, const Stretch& stretch, double middle) const {
    const char* const colour = stretch.own ? colour_of(lane.kind) : kNeighbour;
    const double left = x(stretch.time.from), right = x(stretch.time.until);
    if (stretch.time.from == stretch.time.until) {
      return fmt::format("<path d=\"M{0:.1f} {1:.1f} l6 8 l-6 8 l-6 -8 z\" fill=\"{2}\"/>\n", left,
                         middle - 8.0, colour);
    }
    const double width = std::max(right - left, 2.0);
    return fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.0f}\" rx=\"{:.1f}\" "
        "fill=\"{}\"/>\n",
        left, middle - kBar / 2, width, kBar, std::min(3.0, width / 2), colour);
  }

  /// On the bar where it fits; before and after it where the panel has room.
  std::string label(const Stretch& stretch, double middle) const {
    const double left = x(stretch.time.from), right = x(stretch.time.until), y = middle + 4.2;
    const auto wide = [](const std::string& text) {
      return kCharacter * static_cast<double>(text.size()) + 12;
    };
    std::string svg;
    if (!stretch.label.empty() && right - left > wide(stretch.label)) {
      svg += words((left + right) / 2, y, "inside", stretch.label, "middle");
    }
    if (!stretch.before.empty() && left - kLeft > wide(stretch.before)) {
      svg += words(left - 9, y, "beside", stretch.before, "end");
    }
    if (!stretch.after.empty() && kWidth - kRight - right > wide(stretch.after)) {
      svg += words(right + 9, y, "beside", stretch.after);
    }
    return svg;
  }

  /// A square wave; where its edges would run together, bands with the standstills left out.
  std::string pulses(const TimingLane& lane, double middle) const {
    std::vector<std::pair<double, double>> ups;
    for (const Stretch& stretch : lane.stretches) {
      if (visible(stretch.time)) ups.emplace_back(x(stretch.time.from), x(stretch.time.until));
    }
    // The first and the last may be cut off by the panel's borders.
    const auto narrow = [](const auto& up) { return up.second - up.first < kEdgeLeast; };
    const bool runs_together =
        ups.size() > 2 && std::any_of(ups.begin() + 1, ups.end() - 1, narrow);
    return runs_together ? bands(ups, middle) : wave(ups, middle);
  }

  static std::string wave(const std::vector<std::pair<double, double>>& ups, double middle) {
    std::string path = fmt::format("M{:.1f} {:.1f} ", kLeft, middle + 6);
    for (const auto& [left, right] : ups) {
      path += fmt::format("H{:.1f} V{:.1f} H{:.1f} V{:.1f} ", left, middle - 6, right, middle + 6);
    }
    return fmt::format("<path d=\"{}H{:.1f}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.2\"/>\n",
                       path, kWidth - kRight, colour_of(LaneKind::kLinePulse));
  }

  static std::string bands(const std::vector<std::pair<double, double>>& ups, double middle) {
    std::string svg;
    for (std::size_t i = 0; i < ups.size();) {
      std::size_t last = i;
      while (last + 1 < ups.size() && ups[last + 1].first - ups[last].second < kBandGap) ++last;
      const double width = std::max(ups[last].second - ups[i].first, 1.0);
      svg += fmt::format(
          "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"12\" fill=\"{}\" "
          "opacity=\"0.45\"/>\n",
          ups[i].first, middle - 6, width, colour_of(LaneKind::kLinePulse));
      i = last + 1;
    }
    return svg;
  }

  std::vector<const TimingLane*> lanes_;
  TimeSpan span_;
  Instant zero_;
  double top_;
};

/// Where the shot lies on the whole way, as a lens onto the drawing below.
std::string lens(const TimingPicture& picture, const Panel& whole, double whole_top,
                 double shot_top) {
  const double left = whole.x(picture.shot.from), right = whole.x(picture.shot.until);
  const double from = whole_top + kPanelHead, until = whole.bottom();
  const double below = shot_top - 16;
  return fmt::format(
      "<path d=\"M{0:.1f} {2:.1f} H{1:.1f} V{3:.1f} H{0:.1f} Z\" fill=\"#0c7489\" "
      "opacity=\"0.07\"/>\n"
      "<path d=\"M{0:.1f} {3:.1f} L{4:.1f} {6:.1f} H{5:.1f} L{1:.1f} {3:.1f} Z\" fill=\"#0c7489\" "
      "opacity=\"0.045\"/>\n",
      left, right, from, until, kLeft, kWidth - kRight, below);
}

std::string facts(const TimingPicture& picture, double top) {
  const double column = (kWidth - 2 * kRight + kFactGap) / kFactColumns;
  std::string svg;
  for (std::size_t i = 0; i < picture.facts.size(); ++i) {
    const auto place = static_cast<double>(i % static_cast<std::size_t>(kFactColumns));
    const auto row = static_cast<double>(i / static_cast<std::size_t>(kFactColumns));
    const double left = kRight + place * column, y = top + row * kFactRow;
    svg += words(left, y, "fact", picture.facts[i].name);
    svg += words(left + column - kFactGap, y, "value", picture.facts[i].value, "end");
  }
  return svg;
}

/// What the colours mean, at the right of the first heading.
std::string legend(double y) {
  const auto swatch = [&](double x, const char* colour) {
    return fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"18\" height=\"10\" rx=\"3\" fill=\"{}\"/>\n", x,
        y - 9, colour);
  };
  const double neighbours = kWidth - kRight - 74, own = neighbours - 148;
  return swatch(own, colour_of(LaneKind::kCommand)) + words(own + 25, y, "tick", "this container") +
         swatch(neighbours - 25, kNeighbour) + words(neighbours, y, "tick", "neighbours");
}

std::string opening(double height) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
      "viewBox=\"0 0 {0:.0f} {1:.0f}\">\n<style>\ntext {{ font-family: 'Inter', 'Helvetica Neue', "
      "'DejaVu Sans', sans-serif; fill: {2}; }}\n.title {{ font-size: 21px; font-weight: 600; }}\n"
      ".subtitle, .heading, .fact {{ font-size: 13px; fill: {3}; }}\n.lane {{ font-size: 13px; }}\n"
      ".tick {{ font-size: 11px; fill: {3}; }}\n.inside {{ font-size: 11.5px; fill: #ffffff; }}\n"
      ".beside {{ font-size: 11.5px; }}\n.value {{ font-size: 13px; font-weight: 600; }}\n"
      "</style>\n<rect width=\"100%\" height=\"100%\" fill=\"{4}\"/>\n",
      kWidth, height, kInk, kSoft, kPaper);
}

}  // namespace

std::string to_svg(const TimingPicture& picture) {
  const Panel whole(picture, picture.whole, picture.zero, kTop);
  const double shot_top = whole.bottom() + kPanelGap;
  const Panel shot(picture, picture.shot, picture.shot_zero, shot_top);
  const double facts_top = (picture.has_shot() ? shot.bottom() : whole.bottom()) + 62;
  const auto per_row = static_cast<std::size_t>(kFactColumns);
  const auto rows = static_cast<double>((picture.facts.size() + per_row - 1) / per_row);
  std::string svg = opening(facts_top + rows * kFactRow + 14);
  svg +=
      words(kRight, 44, "title", picture.title) + words(kRight, 68, "subtitle", picture.subtitle);
  svg += legend(kTop + 6);
  if (picture.has_shot()) svg += lens(picture, whole, kTop, shot_top);
  svg += whole.draw("The whole way, counted from the sensor's edge", false);
  if (picture.has_shot()) svg += shot.draw("The shot, counted from its open command", true);
  svg += line(kRight, facts_top - 26, kWidth - kRight, facts_top - 26, kHair);
  return svg + facts(picture, facts_top) + "</svg>\n";
}

}  // namespace rimebench
