#pragma once

/// The line as the controller meets it: two cursors over one belt.
///
///   next()    the upstream half runs ahead and says how far the controller may go, with which
///             inputs
///   settle()  the controller went that far, with these outputs: the downstream half follows
///
/// The rule that keeps both honest: an input that an output causes comes at least the lookahead
/// after it, and a controller stops the lookahead after its first watched output of a grant; what
/// can stop the belt comes through the line's reaction time, and next() never lets the upstream
/// half run further ahead than that. Who does (run_ahead) must be able to go back:
/// rewinding_plant.hpp.

#include <cstddef>
#include <span>
#include <vector>

#include "plant_model/line/downstream.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/line/upstream.hpp"

namespace rimebench {

/// What the controller may be granted: as harness/link's Grant, which the plant does not know.
struct Ahead {
  Instant until;
  Feedback feedback;
  std::span<const SignalChange> inputs;  ///< valid until settle
};

struct PlantReferences {
  const PlantSpec& spec_;
};

class Plant : private Bound<PlantReferences> {
 public:
  /// `spec` must outlive the plant.
  explicit Plant(const PlantSpec& spec);
  Plant(const Plant&) = delete;
  /// Takes the state of another plant of the same scenario.
  Plant& operator=(const Plant&) = default;

  /// True once the line has run empty and the controller has been taken past the end.
  bool finished() const { return reached_ >= end_; }
  Instant reached() const { return reached_; }
  /// How far the controller may go, with about `inputs_max` inputs at most.
  Ahead next(std::size_t inputs_max);

  /// The two halves of next(): runs the upstream half to `until` or until about `inputs_max` inputs
  /// wait, and says what the controller may be granted of that.
  void run_ahead(Instant until, std::size_t inputs_max);
  Ahead granted() const;
  /// How far the upstream half has run.
  Instant ahead() const { return ahead_; }
  /// From a lost line permit to the belt's coasting; 0 where the line does not follow it.
  Duration reaction() const { return {spec_.line.controls.line_stop_reaction_us}; }
  /// When the belt first follows one of these outputs, the next ones; kNever if it follows none.
  Instant first_followed(std::span<const SignalChange> outputs) const;

  /// `outputs` in canonical order, all at or after the last reached and before `reached`.
  /// Everything before `reached` goes to the sink: inputs, outputs and witnesses in canonical
  /// order, rows.
  void settle(Instant reached, std::span<const SignalChange> outputs, RunSink& sink);

 private:
  Instant run_upstream(Instant until, std::size_t inputs_max);
  Instant chain_horizon(Instant until) const;
  void hear_chain(Instant until, RunSink& sink);
  bool belt_follows(bool before, bool given) const;
  void on_line_permit(const SignalChange& output);
  void record(Instant reached, std::span<const SignalChange> outputs, RunSink& sink);

  Conveyed conveyed_;
  Upstream upstream_;
  Downstream downstream_;
  std::vector<SignalChange> chain_;  ///< changes of the safety chain in the grant being settled
  Instant reached_{};
  Instant ahead_{};
  Instant end_{kNever};
  /// Losses and returns of the line permit that the line has yet to follow.
  Ring<SignalChange> permit_changes_{64};
  bool line_permit_{false};
  bool permit_was_lost_{false};
};

}  // namespace rimebench
