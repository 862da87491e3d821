#include "plant_model/planner/waits.hpp"

#include <algorithm>
#include <cstddef>

#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

/// Groups until the seamer's rhythm repeats. It repeats with the first where it keeps up.
constexpr int kGroups = 20;
/// Waits closer than this are the same: a shot's own scatter is larger.
constexpr double kSameWait_s = 0.02;

double nozzle_to_seam_m(const LineSpec& line) {
  return metres(line.stations.seam_um - line.stations.nozzle_um);
}

/// The seamer takes no two containers closer than this. The next in a standing queue has one body's
/// length to go once it has taken the first.
double between_takings_s(const PlanSpec& plan) {
  return std::max(seconds(plan.line.seamer.cycle_us),
                  metres(plan.container.body_um) / belt_m_per_s(plan));
}

/// The longest that a container can stand between nozzle and seamer: one that stood just before
/// the nozzle passes it as the queue moves on, and has a full queue ahead of it. What stands before
/// the nozzle has not been dosed yet.
double longest_standing_s(const PlanSpec& plan) {
  const double way_m = nozzle_to_seam_m(plan.line);
  const double speed = belt_m_per_s(plan);
  const double takings = queue_room(plan) + 1.0;
  const double before_nozzle_m = takings * metres(plan.container.body_um) - way_m;
  return takings * between_takings_s(plan) - before_nozzle_m / speed - way_m / speed;
}

/// How long each container of a group stands in the queue before a single-station seamer.
std::vector<double> queueing_s(const PlanSpec& plan) {
  const FillerSpec& filler = plan.line.filler;
  const double speed = belt_m_per_s(plan);
  const bool rotary = filler.kind == FillerKind::kRotary;
  const int heads = rotary ? 1 : filler.heads;
  const double group_s = metres(rotary ? filler.pitch_um : filler.group_pitch_um) / speed;
  const double head_s = rotary ? 0.0 : metres(filler.head_pitch_um) / speed;
  const double between = between_takings_s(plan);
  std::vector<double> standing(static_cast<std::size_t>(heads));
  double free_at = 0.0;
  for (int group = 0; group < kGroups; ++group) {
    for (int head = 0; head < heads; ++head) {
      const double comes = group * group_s + head * head_s;
      const double taken = std::max(comes, free_at);
      standing[static_cast<std::size_t>(head)] = taken - comes;
      free_at = taken + between;
    }
  }
  return standing;
}

}  // namespace

Wait unhindered_wait(const LineSpec& line, double belt_m_per_s) {
  if (line.transport == Transport::kLocked) {
    return {metres(line.stations.lid_um - line.stations.nozzle_um) / belt_m_per_s,
            metres(line.stations.seam_um - line.stations.lid_um) / belt_m_per_s};
  }
  return {nozzle_to_seam_m(line) / belt_m_per_s + seconds(line.seamer.lid_us),
          seconds(line.seamer.seam_us - line.seamer.lid_us)};
}

double belt_m_per_s(const PlanSpec& plan) {
  return plan.containers_per_min / 60.0 * travel_per_container_um(plan.line.filler) * kMetresPerUm;
}

std::vector<PlaceWait> place_waits(const PlanSpec& plan) {
  const Wait least = unhindered_wait(plan.line, belt_m_per_s(plan));
  if (plan.line.transport == Transport::kLocked) return {{1, least, least, false}};
  const double longest = longest_standing_s(plan);
  std::vector<PlaceWait> places;
  for (const double standing : queueing_s(plan)) {
    Wait expected = least;
    expected.belt_s += std::min(standing, longest);
    places.push_back({static_cast<int>(places.size()) + 1, expected, least, standing > longest});
  }
  return places;
}

Wait split_wait(const PlanSpec& plan, double total_s) {
  const Wait least = unhindered_wait(plan.line, belt_m_per_s(plan));
  if (plan.line.transport == Transport::kLocked) {
    const double share = least.belt_s / least.total();
    return {total_s * share, total_s * (1.0 - share)};
  }
  const double lid_s = std::min(total_s, least.lid_s);
  return {total_s - lid_s, lid_s};
}

bool needs_ramp(const std::vector<PlaceWait>& places) {
  const auto longer = [](const PlaceWait& a, const PlaceWait& b) {
    return a.expected.total() < b.expected.total();
  };
  const auto [least, most] = std::minmax_element(places.begin(), places.end(), longer);
  return most->expected.total() - least->expected.total() > kSameWait_s;
}

int queue_room(const PlanSpec& plan) {
  const StationsSpec& at = plan.line.stations;
  return static_cast<int>((at.seam_um - at.nozzle_um) / plan.container.body_um);
}

}  // namespace rimebench
