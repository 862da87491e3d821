#pragma once

/// A pressure check that stands just before the reject gate, with an ejector of its own: the last
/// word on a container, and one with its own errors. What it feels is the pressure of the gas that
/// has boiled by then, nothing dissolved yet, at the container's temperature: close behind the
/// seamer it reads low and rising.

#include "plant_model/line/bound.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct PressureCheckReferences {
  const PlantSpec& spec_;
};

class PressureCheck : private Bound<PressureCheckReferences> {
 public:
  explicit PressureCheck(const PlantSpec& spec) : Bound{{spec}} {}

  /// A container with this pressure, Pa gauge, passes; true if it is ejected.
  bool pass(Instant at, std::int64_t container, std::int64_t true_pa, InputQueue& inputs) const;
  /// While containers pass, a pulse may come so soon.
  Instant horizon(Instant reached) const;

 private:
  bool wired() const {
    return spec_.line.pressure_check && spec_.line.pressure_check->delay_us > 0;
  }
};

}  // namespace rimebench
