#pragma once

/// Two runs of one scenario under two recipes, with the same chance: container for container.

#include <cstdint>
#include <map>
#include <vector>

#include "plant_model/spec/ledger.hpp"

namespace rimebench {

/// Mean of paired differences with its 95 % confidence interval (Student's t; NIST/SEMATECH
/// e-Handbook, 1.3.5.2 on the differences). Containers are taken as independent of each other.
struct PairedMean {
  std::int64_t pairs{};
  double mean{};
  double low{};
  double high{};
};

class PairedSums {
 public:
  void add(double difference);
  /// Both ends are the mean where fewer than two pairs tell nothing of their spread.
  PairedMean mean() const;

 private:
  std::int64_t count_{0};
  double mean_{0.0};
  double squares_{0.0};
};

struct PairedComparison {
  PairedMean pressure_pa;                       ///< of containers dosed in both, B less A
  std::map<std::int64_t, PairedMean> by_place;  ///< the same by place
  PairedMean landing_um;                        ///< landing offset
  std::int64_t only_a_escapes{};                ///< bad on the good side under A, not under B
  std::int64_t only_b_escapes{};
  std::int64_t first_only_a{};  ///< container number; 0: none
  std::int64_t first_only_b{};
  std::int64_t only_a_removed{};  ///< good, taken out under A, not under B
  std::int64_t only_b_removed{};
  std::int64_t unpaired{};  ///< containers that only one run finished
};

/// Rows of run A first, then those of run B.
class PairedRuns {
 public:
  void on_row_a(const LedgerRow& row);
  void on_row_b(const LedgerRow& row);
  PairedComparison finish() const;

 private:
  struct Kept {
    std::int64_t pressure_pa{};
    std::int32_t landing_um{};
    bool present{false};
    bool dosed{false};
    bool escaped{false};
    bool false_reject{false};
  };
  static Kept kept(const LedgerRow& row);

  std::vector<Kept> a_;
  std::int64_t in_a_{0};
  PairedSums pressure_;
  PairedSums landing_;
  std::map<std::int64_t, PairedSums> places_;
  PairedComparison result_;
};

}  // namespace rimebench
