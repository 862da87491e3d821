#include "harness/dossier/container_log.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <utility>

#include "harness/dossier/container_drawing.hpp"
#include "harness/dossier/names.hpp"

namespace rimebench {

namespace {

using Kept = ContainerLog::Kept;

constexpr std::int64_t kPaStep = 10;    // of the pressures, in Pa
constexpr std::int64_t kUgStep = 10;    // of the masses, in ug
constexpr std::int64_t kTimeStep = 10;  // of times behind the shot, in us

std::int64_t rounded(std::int64_t value, std::int64_t step) {
  const std::int64_t half = value < 0 ? -(step / 2) : step / 2;
  return (value + half) / step;
}

std::int64_t pressure(std::int64_t pa) {
  return pa >= kLiquidFullPa ? kNoNumber : rounded(pa, kPaStep);
}

/// After the container was seen.
std::int64_t after(const Kept& kept, Instant at) {
  return at == kNever ? kNoNumber : (at - kept.seen).raw;
}
std::int64_t after(const Kept& kept, std::int64_t at_us) {
  return at_us == 0 ? kNoNumber : rounded(at_us - kept.seen.us, kTimeStep);
}

std::int64_t dosed(const Kept& kept, std::int64_t value) {
  return kept.row.shots > 0 ? value : kNoNumber;
}

constexpr auto kFlagNames = std::to_array<const char*>(
    {"flagged", "removed", "bad", "liquid-full", "met by a disturbance", "not seen by the sensor"});

std::int64_t flags(const Kept& kept) {
  const LedgerRow& row = kept.row;
  const bool full = row.equilibrium_pa >= kLiquidFullPa || row.hot_prompt_pa >= kLiquidFullPa;
  const std::array<bool, kFlagNames.size()> bits{
      row.flagged != 0, row.removed != 0, row.bad != 0, full, row.befell != 0, row.sensor_us == 0};
  std::int64_t set = 0;
  for (std::size_t i = 0; i < bits.size(); ++i) set |= std::int64_t{bits[i]} << i;
  return set;
}

struct KeptColumn {
  const char* name;
  const char* label;
  const char* quantity;
  double scale;
  bool delta;
  std::int64_t (*value)(const Kept&);
};

// clang-format off
constexpr auto kColumns = std::to_array<KeptColumn>({
    {"container", "container", "", 1, true, [](const Kept& k) { return k.row.container; }},
    {"group", "group", "", 1, true, [](const Kept& k) { return k.row.group; }},
    {"head", "head", "", 1, false, [](const Kept& k) { return k.row.head; }},
    {"place", "place in its group", "", 1, false, [](const Kept& k) { return k.row.place; }},
    {"sensor_us", "sensor edge", "time_us", 1, true, [](const Kept& k) { return k.seen.us; }},
    {"equilibrium_kpa", "settled pressure", "pressure_kpa", 0.01, false, [](const Kept& k) { return pressure(k.row.equilibrium_pa); }},
    {"prompt_kpa", "prompt pressure", "pressure_kpa", 0.01, false, [](const Kept& k) { return pressure(k.row.prompt_pa); }},
    {"hot_equilibrium_kpa", "settled pressure, hot", "pressure_kpa", 0.01, false, [](const Kept& k) { return pressure(k.row.hot_equilibrium_pa); }},
    {"hot_prompt_kpa", "prompt pressure, hot", "pressure_kpa", 0.01, false, [](const Kept& k) { return pressure(k.row.hot_prompt_pa); }},
    {"landing_offset_um", "landing from the centre", "length_um", 1, false, [](const Kept& k) { return dosed(k, k.row.landing_offset_um); }},
    {"captured_percent", "captured by the opening", "share_percent", 0.01, false, [](const Kept& k) { return dosed(k, rounded(k.row.captured_ppm, 100)); }},
    {"nozzle_mg", "dose at the nozzle", "mass_mg", 0.01, false, [](const Kept& k) { return rounded(k.row.nozzle_ug, kUgStep); }},
    {"sealed_mg", "nitrogen sealed in", "mass_mg", 0.01, false, [](const Kept& k) { return rounded(k.row.sealed_ug, kUgStep); }},
    {"oxygen_percent", "oxygen in the headspace", "share_percent", 0.01, false, [](const Kept& k) { return rounded(k.row.oxygen_ppm, 100); }},
    {"shots", "shots", "", 1, false, [](const Kept& k) { return k.row.shots; }},
    {"flags", "what became of it", "", 1, false, flags},
    {"cause", "why it is bad", "", 1, false, [](const Kept& k) { return k.row.cause; }},
    {"open_us", "valve commanded open", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.command_open); }},
    {"close_us", "valve commanded shut", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.command_close); }},
    {"valve_open_us", "valve open", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.open); }},
    {"valve_close_us", "valve shut", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.close); }},
    {"land_from_us", "first liquid lands", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.landing_begin); }},
    {"land_until_us", "last liquid lands", "time_us", 1, false, [](const Kept& k) { return after(k, k.shot.landing_end); }},
    {"lid_us", "lid laid", "time_us", 10, false, [](const Kept& k) { return after(k, k.row.lid_us); }},
    {"seam_us", "seam closed", "time_us", 10, false, [](const Kept& k) { return after(k, k.row.seam_us); }},
    {"gate_us", "gate", "time_us", 10, false, [](const Kept& k) { return after(k, k.row.gate_us); }},
});
// clang-format on

struct LimitColumn {
  const char* column;
  const char* name;
  double per_unit;
  std::int64_t ContainerLimits::*least;
  std::int64_t ContainerLimits::*most;
};

constexpr auto kLimitColumns = std::to_array<LimitColumn>({
    {"equilibrium_kpa", "settled pressure", 1e3, &ContainerLimits::equilibrium_pa_min,
     &ContainerLimits::equilibrium_pa_max},
    {"prompt_kpa", "prompt pressure", 1e3, nullptr, &ContainerLimits::prompt_pa_max},
    {"hot_equilibrium_kpa", "settled pressure, hot", 1e3, nullptr,
     &ContainerLimits::hot_equilibrium_pa_max},
    {"hot_prompt_kpa", "prompt pressure, hot", 1e3, nullptr, &ContainerLimits::hot_prompt_pa_max},
    {"landing_offset_um", "landing from the centre, either way", 1.0, nullptr,
     &ContainerLimits::landing_offset_um_max},
    {"captured_percent", "captured by the opening", 1e4, &ContainerLimits::captured_ppm_min,
     nullptr},
    {"oxygen_percent", "oxygen in the headspace", 1e4, nullptr, &ContainerLimits::oxygen_ppm_max},
});

bool is_set(std::int64_t limit) {
  return limit != std::numeric_limits<std::int64_t>::min() &&
         limit != std::numeric_limits<std::int64_t>::max();
}

}  // namespace

void ContainerLog::on_row(const LedgerRow& row, const ShotTimes& shot) {
  kept_.push_back({row, first_seen(row), shot});
}

Duration ContainerLog::mean_opening() const {
  Duration sum;
  std::int64_t count = 0;
  for (const Kept& kept : kept_) {
    if (kept.shot.close == kNever) continue;
    sum += kept.shot.close - kept.shot.open;
    ++count;
  }
  return {count > 0 ? sum.raw / count : 0};
}

std::vector<ColumnLimit> ContainerLog::limits() const {
  const ContainerLimits& set = scenario_.plant.limits;
  std::vector<ColumnLimit> found;
  for (const LimitColumn& row : kLimitColumns) {
    ColumnLimit limit{row.column, row.name};
    if (row.least != nullptr && is_set(set.*row.least) && set.*row.least != 0) {
      limit.least = static_cast<double>(set.*row.least) / row.per_unit;
    }
    if (row.most != nullptr && is_set(set.*row.most)) {
      limit.most = static_cast<double>(set.*row.most) / row.per_unit;
    }
    if (limit.column == "landing_offset_um" && limit.most) limit.least = -*limit.most;
    if (limit.least || limit.most) found.push_back(std::move(limit));
  }
  return found;
}

ContainersBlock ContainerLog::block() const {
  ContainersBlock block;
  block.count = static_cast<std::int64_t>(kept_.size());
  std::vector<std::int64_t> values(kept_.size());
  for (const KeptColumn& column : kColumns) {
    std::ranges::transform(kept_, values.begin(), column.value);
    ColumnForm form;
    form.name = column.name;
    form.label = column.label;
    form.quantity = column.quantity;
    form.scale = column.scale;
    form.delta = column.delta;
    if (form.quantity == "pressure_kpa") form.null_means = "liquid-full";
    if (form.name == "flags") form.bits.assign(kFlagNames.begin(), kFlagNames.end());
    if (form.name == "cause") {
      for (const char* const cause : kCauseNames) form.words.push_back(in_words(cause));
    }
    block.columns.add(std::move(form), values);
  }
  block.limits = limits();
  block.opening_um = scenario_.plant.container.opening_um;
  block.diameter_um = scenario_.plant.container.body_um;
  block.lateral_um = scenario_.plant.line.nozzle.lateral_um;
  block.jet_diameter_um = scenario_.plant.line.nozzle.jet_diameter_um;
  return block;
}

}  // namespace rimebench
