#include "firmware_sim/core/nozzle_watch.hpp"

namespace rimebench {

NozzleView look_at_nozzle(const Moment& moment, const ContainerQueue& queue, bool at_sensor,
                          Duration open_for) {
  const Recipe& recipe = moment.recipe;
  const Speed speed = moment.belt.speed(moment.now);
  const Duration until_landed = open_for + recipe.lead_max + recipe.valve_delays + recipe.rest_min;
  const Length reach = recipe.nozzle_clear + travel_floor(until_landed, speed);
  const Length unseen = travel_floor(recipe.sensor_latency + recipe.debounce, speed);
  if (at_sensor && recipe.sensor_to_nozzle <= reach + unseen) return {false, kNowhere};

  // One that is seamed right behind the nozzle may still be near it.
  const Length beyond =
      recipe.sensor_to_nozzle + recipe.edge_to_centre + recipe.nozzle_clear + 1_um;
  NozzleView view{true, kNowhere};
  if (moment.position < queue.left_centre() + beyond) view = {false, queue.left_centre() + beyond};
  for (std::size_t i = 0; i < queue.size(); ++i) {
    const Length centre = queue[i].centre + recipe.sensor_to_nozzle;
    const Length from = centre - recipe.edge_to_centre - reach;
    const Length past = queue[i].centre + beyond;
    if (moment.position >= past) continue;
    if (moment.position < from) {
      if (view.clear) view.changes_at = from;
      break;
    }
    view = {false, past};
  }
  return view;
}

}  // namespace rimebench
