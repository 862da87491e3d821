#pragma once

/// Steps a controller from instant to instant, as run_grant does, with feedback of the valve wired
/// to the valve, and shows every instant to an observer.

#include <deque>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "tests/properties/holds.hpp"

namespace rimebench::properties {

using Changes = std::vector<SignalChange>;

/// How the valve's feedback follows the command, from `from` on.
struct Feedback {
  Instant from;
  std::int64_t delay_us = 0;  ///< negative: it does not follow
};

/// Puts changes in canonical order. Of two changes of one channel at one instant the later counts,
/// and a change to the present value is none.
Changes canonical(Changes changes);

/// What one run was made of and what came of it, both in canonical order.
struct Played {
  Changes inputs;
  Changes outputs;
};

/// Runs `open_loop` up to `end` and the feedback with it. Checks what every controller owes at
/// every instant: the next wake lies later, outputs are stamped with their instant, in channel
/// order. `observe(now, inputs, outputs)` sees each instant.
template <class Observer>
Played drive(const Changes& open_loop, const std::vector<Feedback>& feedback, Instant end,
             Observer&& observe) {
  DoseController controller;
  Played played;
  std::deque<SignalChange> echo;  // the feedback to come
  std::size_t taken = 0;
  std::size_t rule = 0;
  Instant settled{-1};
  while (true) {
    const Instant wire_at = taken < open_loop.size() ? open_loop[taken].at : kNever;
    const Instant echo_at = echo.empty() ? kNever : echo.front().at;
    const Instant wake = controller.next_wake();
    must(wake > settled, settled.us, "the next wake is not later than the instant settled");
    const Instant now = earlier(earlier(wire_at, echo_at), wake);
    if (now >= end) return played;
    settled = now;

    const std::size_t first_input = played.inputs.size();
    while (taken < open_loop.size() && open_loop[taken].at == now) {
      played.inputs.push_back(open_loop[taken++]);
    }
    while (!echo.empty() && echo.front().at == now) {
      played.inputs.push_back(echo.front());
      echo.pop_front();
    }
    for (std::size_t i = first_input; i < played.inputs.size(); ++i) {
      controller.on_change(played.inputs[i]);
    }
    const Outputs outputs = controller.advance(end);
    ++steps_taken;
    while (rule < feedback.size() && feedback[rule].from <= now) ++rule;
    const std::int64_t delay_us = rule == 0 ? -1 : feedback[rule - 1].delay_us;
    const std::size_t first_output = played.outputs.size();
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      const SignalChange change = outputs[i];
      played.outputs.push_back(change);
      if (change.channel != Channel::kValve || delay_us < 0) continue;
      const Instant at = now + Duration{1 + delay_us};
      while (!echo.empty() && echo.back().at >= at) echo.pop_back();
      echo.push_back({at, Channel::kValveFeedback, change.value});
    }
    observe(now, std::span(played.inputs).subspan(first_input),
            std::span(played.outputs).subspan(first_output));
  }
}

}  // namespace rimebench::properties
