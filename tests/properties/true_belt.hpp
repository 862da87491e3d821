#pragma once

#include <vector>

#include "tests/properties/drive.hpp"

namespace rimebench::properties {

/// Where the belt really is: straight pieces between knots, never backwards.
class TrueBelt {
 public:
  Instant now() const { return knots_.back().at; }
  std::int64_t position_um() const { return knots_.back().um; }
  void move(std::int64_t distance_um, std::int64_t time_us) {
    knots_.push_back({now() + Duration{time_us}, position_um() + distance_um});
  }
  void stand(std::int64_t time_us) { move(0, time_us); }

  std::int64_t at(Instant time) const;
  /// The first microsecond at which the belt is there; kNever if it never is.
  Instant time_of(std::int64_t um) const;

 private:
  struct Knot {
    Instant at;
    std::int64_t um;
  };
  std::vector<Knot> knots_ = {{Instant{0}, 0}};
};

}  // namespace rimebench::properties
