#include "harness/session/output_rules.hpp"

#include <fmt/format.h>

#include "harness/link/node.hpp"

namespace rimebench {

namespace {

[[noreturn]] void refuse(const SignalChange& output, const char* rule, Instant from) {
  throw LinkError(fmt::format("the node broke the contract: channel 0x{:04x} to {} at {} us {}",
                              number(output.channel), output.value, output.at.us, rule),
                  from);
}

}  // namespace

void OutputRules::check(std::span<const SignalChange> outputs, Instant from, Instant reached) {
  const SignalChange* last = nullptr;
  for (const SignalChange& output : outputs) {
    if (output.at < from) refuse(output, "lies before the grant", from);
    if (output.at >= reached) refuse(output, "lies past the instant reached", from);
    const int index = number(output.channel) - 0x2000;
    if (index < 0 || index >= static_cast<int>(kChannels)) refuse(output, "is not an output", from);
    if (last != nullptr && !canonical_before(*last, output))
      refuse(output, "is out of order", from);
    std::int32_t& present = present_[static_cast<std::size_t>(index)];
    if (output.value == present) refuse(output, "is no change", from);
    present = output.value;
    last = &output;
  }
}

}  // namespace rimebench
