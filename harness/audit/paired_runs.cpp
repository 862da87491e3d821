#include "harness/audit/paired_runs.hpp"

#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace rimebench {

namespace {

constexpr double kUpperTail = 0.975;

/// Pressures of a brimful pack are no figures to average.
bool finite(std::int64_t pressure_pa) { return pressure_pa < kLiquidFullPa; }

}  // namespace

void PairedSums::add(double difference) {
  ++count_;
  const double from_mean = difference - mean_;
  mean_ += from_mean / static_cast<double>(count_);
  squares_ += from_mean * (difference - mean_);
}

PairedMean PairedSums::mean() const {
  PairedMean result{count_, mean_, mean_, mean_};
  if (count_ < 2) return result;
  const auto n = static_cast<double>(count_);
  const double error = std::sqrt(squares_ / (n - 1.0) / n);
  const double t = boost::math::quantile(boost::math::students_t(n - 1.0), kUpperTail);
  result.low -= t * error;
  result.high += t * error;
  return result;
}

PairedRuns::Kept PairedRuns::kept(const LedgerRow& row) {
  const bool bad = row.bad != 0, removed = row.removed != 0;
  return {row.equilibrium_pa, static_cast<std::int32_t>(row.landing_offset_um),
          row.gate_us > 0,    row.shots > 0,
          bad && !removed,    !bad && removed};
}

void PairedRuns::on_row_a(const LedgerRow& row) {
  const auto index = static_cast<std::size_t>(row.container);
  if (a_.size() <= index) a_.resize(index + 1);
  a_[index] = kept(row);
  if (a_[index].present) ++in_a_;
}

void PairedRuns::on_row_b(const LedgerRow& row) {
  const auto index = static_cast<std::size_t>(row.container);
  const Kept b = kept(row);
  const Kept a = index < a_.size() ? a_[index] : Kept{};
  if (!a.present || !b.present) {
    if (b.present) ++result_.unpaired;
    return;
  }
  --in_a_;
  if (a.escaped && !b.escaped && result_.only_a_escapes++ == 0)
    result_.first_only_a = row.container;
  if (b.escaped && !a.escaped && result_.only_b_escapes++ == 0)
    result_.first_only_b = row.container;
  if (a.false_reject && !b.false_reject) ++result_.only_a_removed;
  if (b.false_reject && !a.false_reject) ++result_.only_b_removed;
  if (!a.dosed || !b.dosed || !finite(a.pressure_pa) || !finite(b.pressure_pa)) return;
  const auto difference = static_cast<double>(b.pressure_pa - a.pressure_pa);
  pressure_.add(difference);
  places_[row.place].add(difference);
  landing_.add(static_cast<double>(b.landing_um - a.landing_um));
}

PairedComparison PairedRuns::finish() const {
  PairedComparison result = result_;
  result.unpaired += in_a_;
  result.pressure_pa = pressure_.mean();
  result.landing_um = landing_.mean();
  for (const auto& [place, sums] : places_) result.by_place[place] = sums.mean();
  return result;
}

}  // namespace rimebench
