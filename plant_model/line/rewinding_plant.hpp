#pragma once

/// The plant for a link on which every exchange costs: it hands out long grants.
///
///   next()    beyond the line's reaction time the upstream half runs ahead as if the line permit
///             stayed; a copy of the plant is kept from before
///   settle()  did the permit change after all, the copy takes the plant's place, is taken to
///             where the plant was, and goes on with the line's stop or start
///
/// The line permit is a watched output then, the reaction time its lookahead: a controller has
/// consumed nothing of what turns out wrong. A line loses its permit a few times in a run, if ever.

#include <cstddef>
#include <span>
#include <vector>

#include "plant_model/line/plant.hpp"

namespace rimebench {

class RewindingPlant {
 public:
  /// `spec` must outlive the plant.
  explicit RewindingPlant(const PlantSpec& spec) : plant_(spec), saved_(spec) {}

  /// All as of a Plant, and with the same outcome.
  bool finished() const { return plant_.finished(); }
  Instant reached() const { return plant_.reached(); }
  Ahead next(std::size_t inputs_max);
  void settle(Instant reached, std::span<const SignalChange> outputs, RunSink& sink);

 private:
  void rewind(Instant followed);

  Plant plant_;
  Plant saved_;                        ///< from before it ran beyond the reaction time
  std::vector<SignalChange> outputs_;  ///< since then
};

}  // namespace rimebench
