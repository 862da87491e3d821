#pragma once

#include <cstdint>
#include <vector>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// One limit that every container has to keep, and the worst that was seen.
class ContainerLimit {
 public:
  /// Which containers it binds. A burst in the reject bin is a burst: the hot limit binds all.
  enum class Binds : std::uint8_t { kGoodSide, kGoodSideDosed, kAll };

  struct Terms {
    const char* name;
    const char* words;
    const char* unit;
    int decimals;
    double per_unit;  ///< ledger units in one `unit`
    Bound bound;      ///< at least or at most
    Binds binds;
    std::int64_t LedgerRow::*column;
    bool magnitude;  ///< compare the absolute value
  };

  ContainerLimit(const Terms& terms, std::int64_t allowed);

  void on_row(const LedgerRow& row);
  /// `escapes_max`: on the good side so many may break it, since each is an escape.
  Finding finding(std::int64_t escapes_max) const;

 private:
  bool binds(const LedgerRow& row) const;

  Terms terms_;
  std::int64_t allowed_;
  std::int64_t worst_{};
  std::int64_t looked_at_{0};
  std::int64_t breaches_{0};
  Breach first_{};
};

/// The limits that this scenario sets.
std::vector<ContainerLimit> container_limits(const ContainerLimits& limits);

}  // namespace rimebench
