#include "harness/judge/container_limit.hpp"

#include <cstdlib>

namespace rimebench {

namespace {

constexpr double kPaPerKpa = 1'000.0;
constexpr double kPpmPerPercent = 10'000.0;

}  // namespace

ContainerLimit::ContainerLimit(const Terms& terms, std::int64_t allowed)
    : terms_(terms), allowed_(allowed) {}

bool ContainerLimit::binds(const LedgerRow& row) const {
  if (row.seam_us == 0) return false;
  if (terms_.binds == Binds::kAll) return true;
  if (row.gate_us == 0 || row.removed != 0) return false;
  return terms_.binds == Binds::kGoodSide || row.shots > 0;
}

void ContainerLimit::on_row(const LedgerRow& row) {
  if (!binds(row)) return;
  const std::int64_t raw = row.*terms_.column;
  const std::int64_t value = terms_.magnitude ? std::llabs(raw) : raw;
  const bool least = terms_.side == Side::kLeast;
  const bool worse = least ? value < worst_ : value > worst_;
  if (seen_++ == 0 || worse) worst_ = value;
  const bool breach = least ? value < allowed_ : value > allowed_;
  if (breach && breaches_++ == 0) first_ = row;
}

Finding ContainerLimit::finding() const {
  Finding finding;
  finding.name = terms_.name;
  finding.unit = terms_.unit;
  finding.decimals = terms_.decimals;
  finding.measured = static_cast<double>(worst_) / terms_.per_unit;
  finding.allowed = static_cast<double>(allowed_) / terms_.per_unit;
  finding.breaches = breaches_;
  if (seen_ == 0) {
    finding.outcome = Outcome::kInconclusive;
  } else if (breaches_ > 0) {
    finding.outcome = Outcome::kFail;
    finding.first_container = first_.container;
    finding.first_place = first_.place;
    finding.first_at = Instant{first_.gate_us > 0 ? first_.gate_us : first_.seam_us};
  }
  return finding;
}

std::vector<ContainerLimit> container_limits(const ContainerLimits& limits) {
  using Side = ContainerLimit::Side;
  using Binds = ContainerLimit::Binds;
  const ContainerLimits none;
  std::vector<ContainerLimit> set;
  const auto add = [&](std::int64_t ContainerLimits::*limit, const ContainerLimit::Terms& terms) {
    if (limits.*limit != none.*limit) set.emplace_back(terms, limits.*limit);
  };
  // clang-format off
  add(&ContainerLimits::equilibrium_pa_min, {"equilibrium_kpa_min", "kPa", 1, kPaPerKpa, Side::kLeast, Binds::kGoodSide, &LedgerRow::equilibrium_pa, false});
  add(&ContainerLimits::equilibrium_pa_max, {"equilibrium_kpa_max", "kPa", 1, kPaPerKpa, Side::kMost, Binds::kGoodSide, &LedgerRow::equilibrium_pa, false});
  add(&ContainerLimits::hot_prompt_pa_max, {"hot_prompt_kpa_max", "kPa", 1, kPaPerKpa, Side::kMost, Binds::kAll, &LedgerRow::hot_prompt_pa, false});
  add(&ContainerLimits::captured_ppm_min, {"captured_percent_min", "%", 2, kPpmPerPercent, Side::kLeast, Binds::kGoodSideDosed, &LedgerRow::captured_ppm, false});
  add(&ContainerLimits::landing_offset_um_max, {"landing_offset_um_max", "um", 0, 1.0, Side::kMost, Binds::kGoodSideDosed, &LedgerRow::landing_offset_um, true});
  add(&ContainerLimits::oxygen_ppm_max, {"oxygen_percent_max", "%", 2, kPpmPerPercent, Side::kMost, Binds::kGoodSide, &LedgerRow::oxygen_ppm, false});
  // clang-format on
  return set;
}

}  // namespace rimebench
