#include "harness/dossier/pressure_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace rimebench {

namespace {

constexpr double kMicrosPerMinute = 60e6;
constexpr double kPaPerKpa = 1e3;

bool is_set(std::int64_t limit) {
  return limit != std::numeric_limits<std::int64_t>::min() &&
         limit != std::numeric_limits<std::int64_t>::max();
}

}  // namespace

PressurePlot::PressurePlot(const Scenario& scenario)
    : stretch_us_(scenario.plant.feed.raw / static_cast<std::int64_t>(kStretches) + 1),
      limits_(scenario.plant.limits) {}

void PressurePlot::on_row(const LedgerRow& row) {
  if (row.seam_us == 0) return;
  const bool first = places_.empty();
  least_ = first ? row.equilibrium_pa : std::min(least_, row.equilibrium_pa);
  most_ = first ? row.equilibrium_pa : std::max(most_, row.equilibrium_pa);
  const auto at = static_cast<std::size_t>(row.seam_us / stretch_us_);
  Stretch& stretch = places_[row.place][std::min(at, kStretches - 1)];
  const bool alone = stretch.count == 0;
  stretch.least = alone ? row.equilibrium_pa : std::min(stretch.least, row.equilibrium_pa);
  stretch.most = alone ? row.equilibrium_pa : std::max(stretch.most, row.equilibrium_pa);
  stretch.sum += static_cast<double>(row.equilibrium_pa);
  ++stretch.count;
}

char PressurePlot::mark(const Stretch& stretch) const {
  if (stretch.count == 0) return ' ';
  const bool soft = stretch.least < limits_.equilibrium_pa_min;
  const bool hard = stretch.most > limits_.equilibrium_pa_max;
  if (soft || hard) return soft && hard ? 'x' : soft ? 'v' : '^';
  const auto low =
      static_cast<double>(is_set(limits_.equilibrium_pa_min) ? limits_.equilibrium_pa_min : least_);
  const auto high =
      static_cast<double>(is_set(limits_.equilibrium_pa_max) ? limits_.equilibrium_pa_max : most_);
  if (high <= low) return '5';
  const double mean = stretch.sum / static_cast<double>(stretch.count);
  return static_cast<char>('0' +
                           std::clamp(static_cast<int>((mean - low) / (high - low) * 10.0), 0, 9));
}

std::string PressurePlot::row_text(std::int64_t place, const Row& row) const {
  std::string marks;
  for (const Stretch& stretch : row) marks += mark(stretch);
  marks.erase(marks.find_last_not_of(' ') + 1);
  return fmt::format("  {:>5}  {}\n", place, marks);
}

std::string PressurePlot::text() const {
  if (places_.empty()) return {};
  const auto limit = [](std::int64_t pa, std::int64_t seen, const char* word) {
    const bool set = is_set(pa);
    return fmt::format("{:.0f} kPa, the {}{}", static_cast<double>(set ? pa : seen) / kPaPerKpa,
                       word, set ? " allowed" : " of the run");
  };
  std::string text = fmt::format(
      "settled pressure over time, {:.2f} min a character: 0 is {}; 9 is {}\n"
      "  place  v: one is softer than allowed, ^: one is harder, x: both\n",
      static_cast<double>(stretch_us_) / kMicrosPerMinute,
      limit(limits_.equilibrium_pa_min, least_, "least"),
      limit(limits_.equilibrium_pa_max, most_, "most"));
  for (const auto& [place, row] : places_) text += row_text(place, row);
  return text + "\n";
}

}  // namespace rimebench
