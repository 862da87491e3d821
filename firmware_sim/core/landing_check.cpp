#include "firmware_sim/core/landing_check.hpp"

namespace rimebench {
namespace {

/// Where the belt was, by a straight line between the two pulses.
Length position_at(Instant at, const PulseSpan& span, Length end) {
  const Duration span_time = span.to - span.from;
  const Length way = end - span.start;
  return span.start + Length{mul_div_floor((at - span.from).raw, way.raw, span_time.raw)};
}

}  // namespace

bool check_landings(const PulseSpan& span, const Belt& belt, const Recipe& recipe,
                    ContainerQueue& queue, Counters& counters) {
  if (recipe.landing_error_max == 0_um) return false;
  const Length end = belt.position(span.to);
  bool any = false;
  const auto check = [&](Container& container, Length off) {
    if (-recipe.landing_error_max <= off && off <= recipe.landing_error_max) return;
    counters.add(Counter::kLandingOff);
    container.flagged = any = true;
  };
  for (std::size_t i = queue.size(); i-- > queue.decided();) {
    Container& container = queue[i];
    if (container.seen <= span.from) break;
    if (container.flagged) continue;
    const Length seen_at = container.centre - recipe.edge_to_centre;
    check(container, position_at(container.seen, span, end) - seen_at);
  }
  for (std::size_t i = queue.decided(); i-- > 0;) {
    Container& container = queue[i];
    if (container.landing <= span.from) break;
    if (!container.dosed || container.landing > span.to) continue;
    const Length aim = container.centre + recipe.sensor_to_nozzle;
    check(container, position_at(container.landing, span, end) - aim);
  }
  return any;
}

}  // namespace rimebench
