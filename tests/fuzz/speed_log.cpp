#include "harness/intake/speed_intake.hpp"

#include <cmath>
#include <stdexcept>

#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

namespace {

/// Choices by the bits of one byte, so that what is asked is answered now and then.
Choices choices_by(std::uint8_t bits) {
  constexpr const char* kChosen[][2] = {
      {"date_order", "day_month"}, {"speed_unit", "containers_per_min"},
      {"decimal", "comma"},        {"clock_change", "repeats"},
      {"time_unit_s", "1"},        {"speed_unit", "count_16bit"},
      {"gap", "stopped"},          {"pulses_per_container", "4"}};
  Choices choices;
  for (unsigned i = 0; i < 8; ++i) {
    std::string problem;
    if ((bits >> i & 1U) != 0) DEMAND(choices.set(kChosen[i][0], kChosen[i][1], problem));
  }
  return choices;
}

}  // namespace

/// Any bytes are a log that gives a profile, or asks, or are refused by name. A profile starts at
/// 0, its times rise, and no speed is negative or none.
void speed_log(Input bytes) {
  if (bytes.empty()) return;
  const Choices choices = choices_by(bytes.front());
  const MemoryFile file(bytes.subspan(1));
  std::optional<Instant> last;
  bool good = true;
  std::int64_t knots = 0;
  try {
    const SpeedIntake intake = take_in_speed(file.path(), choices, [&](const SpeedKnot& knot) {
      good = good && (last ? *last < knot.at : knot.at == Instant{0});
      good = good && std::isfinite(knot.containers_per_min) && knot.containers_per_min >= 0.0;
      last = knot.at;
      ++knots;
    });
    DEMAND(!intake.answered() || (good && knots == intake.knots && knots > 0));
    DEMAND(!intake.answered() || (intake.least_per_min <= intake.most_per_min));
    DEMAND(intake.plot.bins.size() <= SpeedPlot::kBins);
  } catch (const std::invalid_argument& error) {
    DEMAND(std::string(error.what()).find(file.path()) == 0);
  }
}

}  // namespace rimebench::fuzz
