#include "harness/judge/stop_losses.hpp"

#include "plant_model/spec/stop_cost.hpp"

namespace rimebench {

StopLosses::StopLosses(const PlantSpec& plant) {
  for (const LineStop& stop : plant.happens.stops) {
    if (stop.at == kNever) continue;
    const StopCost cost = stop_cost(plant, stop);
    figures_.push_back({stop.at, stop.lasts, cost.least, cost.most, 0});
    spans_.push_back({stop.at, stop.at + stop.lasts + stop.ramp + cost.unsteady});
  }
}

void StopLosses::on_row(const LedgerRow& row) {
  if (row.flagged == 0 && row.bad == 0) return;
  const Instant from{row.sensor_us > 0 ? row.sensor_us : row.seam_us};
  const Instant to = row.seam_us > 0 ? Instant{row.seam_us} : kNever;
  for (std::size_t i = 0; i < spans_.size(); ++i) {
    if (to < spans_[i].from || spans_[i].to < from) continue;
    ++figures_[i].lost;
    return;
  }
}

}  // namespace rimebench
