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
  const bool least = terms_.bound == Bound::kAtLeast;
  const bool worse = least ? value < worst_ : value > worst_;
  if (looked_at_++ == 0 || worse) worst_ = value;
  const bool breach = least ? value < allowed_ : value > allowed_;
  if (!breach || breaches_++ > 0) return;
  first_ = {Instant{row.gate_us > 0 ? row.gate_us : row.seam_us}, row.container, row.place,
            static_cast<Cause>(row.cause), static_cast<double>(value) / terms_.per_unit};
}

Finding ContainerLimit::finding(std::int64_t escapes_max) const {
  Finding finding;
  finding.name = terms_.name;
  finding.words = terms_.words;
  finding.unit = terms_.unit;
  finding.decimals = terms_.decimals;
  finding.bound = terms_.bound;
  finding.measured = static_cast<double>(worst_) / terms_.per_unit;
  finding.allowed = static_cast<double>(allowed_) / terms_.per_unit;
  finding.looked_at = looked_at_;
  finding.breaches = breaches_;
  if (looked_at_ == 0) finding.outcome = Outcome::kInconclusive;
  if (breaches_ > (terms_.binds == Binds::kAll ? 0 : escapes_max)) {
    finding.outcome = Outcome::kFail;
    finding.first = first_;
  }
  return finding;
}

std::vector<ContainerLimit> container_limits(const ContainerLimits& limits) {
  using Binds = ContainerLimit::Binds;
  const ContainerLimits none;
  std::vector<ContainerLimit> set;
  const auto add = [&](std::int64_t ContainerLimits::*limit, const ContainerLimit::Terms& terms) {
    if (limits.*limit != none.*limit) set.emplace_back(terms, limits.*limit);
  };
  // clang-format off
  add(&ContainerLimits::equilibrium_pa_min, {"equilibrium_kpa_min", "settled pressure", "kPa", 1, kPaPerKpa, Bound::kAtLeast, Binds::kGoodSide, &LedgerRow::equilibrium_pa, false});
  add(&ContainerLimits::equilibrium_pa_max, {"equilibrium_kpa_max", "settled pressure", "kPa", 1, kPaPerKpa, Bound::kAtMost, Binds::kGoodSide, &LedgerRow::equilibrium_pa, false});
  add(&ContainerLimits::prompt_pa_max, {"prompt_kpa_max", "prompt pressure", "kPa", 1, kPaPerKpa, Bound::kAtMost, Binds::kGoodSide, &LedgerRow::prompt_pa, false});
  add(&ContainerLimits::hot_equilibrium_pa_max, {"hot_equilibrium_kpa_max", "settled pressure when hot", "kPa", 1, kPaPerKpa, Bound::kAtMost, Binds::kAll, &LedgerRow::hot_equilibrium_pa, false});
  add(&ContainerLimits::hot_prompt_pa_max, {"hot_prompt_kpa_max", "hot pressure", "kPa", 1, kPaPerKpa, Bound::kAtMost, Binds::kAll, &LedgerRow::hot_prompt_pa, false});
  add(&ContainerLimits::captured_ppm_min, {"captured_percent_min", "part of the shot caught", "%", 2, kPpmPerPercent, Bound::kAtLeast, Binds::kGoodSideDosed, &LedgerRow::captured_ppm, false});
  add(&ContainerLimits::landing_offset_um_max, {"landing_offset_um_max", "landing off the centre", "um", 0, 1.0, Bound::kAtMost, Binds::kGoodSideDosed, &LedgerRow::landing_offset_um, true});
  add(&ContainerLimits::oxygen_ppm_max, {"oxygen_percent_max", "oxygen in the headspace", "%", 2, kPpmPerPercent, Bound::kAtMost, Binds::kGoodSide, &LedgerRow::oxygen_ppm, false});
  add(&ContainerLimits::tpo_ppb_max, {"tpo_ppb_max", "total package oxygen", "ug/kg", 0, 1.0, Bound::kAtMost, Binds::kGoodSide, &LedgerRow::tpo_ppb, false});
  add(&ContainerLimits::wait_us_min, {"wait_us_min", "wait from landing to seam", "us", 0, 1.0, Bound::kAtLeast, Binds::kGoodSideDosed, &LedgerRow::wait_us, false});
  add(&ContainerLimits::wait_us_max, {"wait_us_max", "wait from landing to seam", "us", 0, 1.0, Bound::kAtMost, Binds::kGoodSideDosed, &LedgerRow::wait_us, false});
  // clang-format on
  return set;
}

}  // namespace rimebench
