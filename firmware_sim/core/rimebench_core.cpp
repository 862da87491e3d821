#include "firmware_sim/core/rimebench_core.h"

#include <new>

#include "firmware_sim/core/dose_controller.hpp"

namespace {

using namespace rimebench;

static_assert(sizeof(DoseController) <= sizeof(rimebench_core));
static_assert(alignof(DoseController) <= alignof(rimebench_core));
static_assert(RIMEBENCH_OUTPUTS_MAX == kOutputChannels);
static_assert(RIMEBENCH_NEVER == kNever.us);

DoseController& controller_in(rimebench_core* core) {
  return *std::launder(reinterpret_cast<DoseController*>(core->bytes));
}
const DoseController& controller_in(const rimebench_core* core) {
  return *std::launder(reinterpret_cast<const DoseController*>(core->bytes));
}

}  // namespace

void rimebench_core_start(rimebench_core* core) { new (core->bytes) DoseController; }

void rimebench_core_on_change(rimebench_core* core, const rimebench_change* change) {
  controller_in(core).on_change(
      {Instant{change->at_us}, static_cast<Channel>(change->channel), change->value});
}

std::size_t rimebench_core_advance(rimebench_core* core, std::int64_t until_us,
                                   rimebench_change* outputs) {
  const Outputs changed = controller_in(core).advance(Instant{until_us});
  for (std::size_t i = 0; i < changed.size(); ++i) {
    outputs[i] = {changed[i].at.us, number(changed[i].channel), changed[i].value};
  }
  return changed.size();
}

std::int64_t rimebench_core_next_wake(const rimebench_core* core) {
  return controller_in(core).next_wake().us;
}

rimebench_controller rimebench_core_controller(rimebench_core* core) {
  return {core, [](void* context) { rimebench_core_start(static_cast<rimebench_core*>(context)); },
          [](void* context, const rimebench_change* change) {
            rimebench_core_on_change(static_cast<rimebench_core*>(context), change);
          },
          [](void* context, std::int64_t until_us, rimebench_change* outputs) {
            return rimebench_core_advance(static_cast<rimebench_core*>(context), until_us, outputs);
          },
          [](const void* context) {
            return rimebench_core_next_wake(static_cast<const rimebench_core*>(context));
          }};
}
