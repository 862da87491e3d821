#pragma once

/// The one loop that drives a controller: the bench in process, a node on a link and the bare-metal
/// image all step through it, so that how a run is cut into grants cannot matter.

#include <cstddef>
#include <span>

#include "firmware_sim/contract/feedback.hpp"
#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/units/demand.hpp"

namespace rimebench {

/// Half-open grant: delivers the inputs before `until` (in canonical order) and fires the timers
/// due before it; `sink(SignalChange)` takes each output change in canonical order. From the first
/// instant with a change of a watched output on, the grant ends at that instant + the feedback's
/// lookahead (at least 1 us) if that is earlier, so that what the output causes can still arrive in
/// time.
/// Returns the instant reached, exclusive. Inputs at or past it were not taken: send them again.
template <class Controller, class Sink>
Instant run_grant(Controller& controller, std::span<const SignalChange> inputs, Instant until,
                  const Feedback& feedback, Sink&& sink) {
  DEMAND(feedback.lookahead > Duration{0});
  std::size_t taken = 0;
  while (true) {
    const Instant input_at = taken < inputs.size() ? inputs[taken].at : kNever;
    const Instant now = earlier(input_at, controller.next_wake());
    if (now >= until) return until;
    while (taken < inputs.size() && inputs[taken].at == now) controller.on_change(inputs[taken++]);
    const auto outputs = controller.advance(until);
    bool watched = false;
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      sink(outputs[i]);
      watched = watched || feedback.watched.has(outputs[i].channel);
    }
    if (watched) until = earlier(until, now + feedback.lookahead);
  }
}

}  // namespace rimebench
