#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/core/outputs.hpp"
#include "firmware_sim/core/rimebench_core.h"

namespace rimebench {

/// A controller behind the C interface, as NodeSession and run_grant want one. They make their own,
/// so which one is served stands outside the object. Outputs that repeat the present value are left
/// out, as the link asks.
class CController {
 public:
  /// For every CController made from now on; `controller` must outlive them.
  static void choose(const rimebench_controller& controller) { chosen_ = &controller; }

  CController() : c_(*chosen_) { c_.start(c_.context); }

  void on_change(SignalChange change) {
    const rimebench_change plain{change.at.us, number(change.channel), change.value};
    c_.on_change(c_.context, &plain);
  }

  Outputs advance(Instant until) {
    const Instant now = next_wake();
    Outputs outputs(now);
    if (now >= until) return outputs;
    std::array<rimebench_change, RIMEBENCH_OUTPUTS_MAX> changed{};
    const std::size_t count = c_.advance(c_.context, until.us, changed.data());
    DEMAND(count <= changed.size());
    for (std::size_t i = 0; i < count; ++i) {
      DEMAND(changed[i].at_us == now.us);
      DEMAND(is_output(changed[i].channel));
      DEMAND(i == 0 || changed[i - 1].channel < changed[i].channel);
      const auto channel = static_cast<Channel>(changed[i].channel);
      std::int32_t& present = present_[output_index(channel)];
      if (present != changed[i].value) outputs.push_back(channel, present = changed[i].value);
    }
    DEMAND(next_wake() > now);
    return outputs;
  }

  Instant next_wake() const { return {c_.next_wake(c_.context)}; }

 private:
  static constexpr bool is_output(std::uint16_t channel) {
    const bool plain =
        channel >= number(Channel::kValve) && channel <= number(Channel::kRecipeState);
    const int counter = channel - number(Channel::kCounterFirst);
    return plain || (counter >= 0 && counter < static_cast<int>(Counter::kCount));
  }

  static inline const rimebench_controller* chosen_{};

  const rimebench_controller& c_;
  std::array<std::int32_t, kOutputChannels> present_{};
};

}  // namespace rimebench
