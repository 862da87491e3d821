#include "firmware_sim/core/open_time_limit.hpp"

#include "firmware_sim/core/limits.hpp"

namespace rimebench {
namespace {

/// What a valve shut for this long gives back, rounded down.
Duration given_back(Duration shut, std::int64_t share_ppm) {
  // A whole day is more than enough, and keeps the product in 64 bits.
  const Duration counted = shut < kPeriodMax ? shut : kPeriodMax;
  return {mul_div_floor(counted.raw, share_ppm, kPpm)};
}

}  // namespace

bool OpenTimeLimit::allow(Instant now, bool open, const OpenBudget& budget) {
  const bool counts = budget.most > 0_us;
  if (counts && open && !open_) {
    const Duration given = given_back(now - since_, budget.share_ppm);
    used_ = given < used_ ? used_ - given : 0_us;
    since_ = now;
    open_ = true;
  }
  watch(now, budget);
  // A recipe without a budget may come while the valve is open.
  if (open_ && (!open || spent_ || !counts)) {
    used_ += now - since_;
    since_ = now;
    open_ = false;
  }
  return counts ? open_ : open;
}

void OpenTimeLimit::reset() {
  spent_ = false;
  used_ = 0_us;
}

}  // namespace rimebench
