#pragma once

/// A pressure check behind the seamer, with an ejector of its own at the reject gate: the last word
/// on a container, and one with its own errors. What it feels is the pressure of the gas that
/// has boiled by then, nothing dissolved yet, at the container's temperature: close behind the
/// seamer it reads low and rising.

#include "plant_model/kernel/ring.hpp"
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
  /// Its ejector shall take out what it has read at `at`.
  void strike(Instant at);
  /// The ejector is out as something passes the gate.
  bool strikes(Instant at);
  /// While containers pass, a pulse may come so soon.
  Instant horizon(Instant reached) const;

 private:
  struct Stroke {
    Instant from;
    Instant to;
  };

  bool wired() const {
    return spec_.line.pressure_check && spec_.line.pressure_check->delay_us > 0;
  }

  Ring<Stroke> strokes_{4096};  ///< to come, and the one that is on
};

}  // namespace rimebench
