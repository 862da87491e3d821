#include "harness/dossier/sample_log.hpp"

#include <algorithm>

namespace rimebench {

namespace {

struct Sampled {
  Channel channel;
  const char* name;
  Measure quantity;
  double scale;   ///< of the channel's unit in the quantity's
  double offset;  ///< added after scaling
  int digits;
};

constexpr double kIcePointK = 273.15;

constexpr auto kSampled = std::to_array<Sampled>({
    {Channel::kSupplyLevel, "liquid above the nozzle", Measure::kLengthMm, 1e-3, 0.0, 1},
    {Channel::kSupplyPressure, "pressure of the dosing head", Measure::kPressureKpa, 1e-3, 0.0, 2},
    {Channel::kBodyTemperature, "dosing body", Measure::kTemperatureC, 1e-3, -kIcePointK, 1},
    {Channel::kRoomOxygen, "oxygen in the room", Measure::kSharePercent, 1e-4, 0.0, 2},
});

}  // namespace

void SampleLog::on_change(const SignalChange& change) {
  static_assert(kSampled.size() == kChannels);
  for (std::size_t i = 0; i < kSampled.size(); ++i) {
    if (kSampled[i].channel != change.channel) continue;
    if (!seen_[i]) seen_[i] = Seen{change.value, change.value, change.value, change.value};
    seen_[i]->least = std::min(seen_[i]->least, change.value);
    seen_[i]->most = std::max(seen_[i]->most, change.value);
    seen_[i]->last = change.value;
  }
}

TableBlock SampleLog::table() const {
  TableBlock table;
  table.columns = {{"what the controller was told"}};
  for (const char* name : {"at first", "least", "most", "at the end"}) {
    table.columns.push_back({name, {}, {}, true});
  }
  for (std::size_t i = 0; i < kSampled.size(); ++i) {
    if (!seen_[i]) continue;
    const Sampled& sampled = kSampled[i];
    const auto cell = [&](std::int32_t value) -> Cell {
      return Figure{value * sampled.scale + sampled.offset, sampled.quantity, sampled.digits};
    };
    const Seen& seen = *seen_[i];
    table.rows.push_back({std::string(sampled.name), cell(seen.first), cell(seen.least),
                          cell(seen.most), cell(seen.last)});
  }
  return table;
}

}  // namespace rimebench
