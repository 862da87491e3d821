#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Of a number of delays; all 0 where there were none.
struct DelayFigures {
  std::size_t count{};
  Duration median{};
  Duration percent_99{};
  Duration worst{};
};

/// Delays of one kind. Keeps them all, four bytes each: some 3 MB an hour of a quick line.
class DelayLog {
 public:
  /// A negative one, the error of an estimate, counts as 0; one past half an hour as that.
  void add(Duration delay);
  DelayFigures figures() const;

 private:
  std::vector<std::int32_t> delays_us_;
};

}  // namespace rimebench
