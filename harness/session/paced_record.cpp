#include "harness/session/paced_record.hpp"

#include <algorithm>

namespace rimebench {

void PacedRecord::on_change(const SignalChange& change) {
  if (class_of(change.channel) != ChannelClass::kFromController) return add(change);
  const Channel pin = pin_of(change.channel);
  if (pin != Channel{}) add({change.at, pin, change.value});
}

void PacedRecord::flush() {
  std::ranges::sort(changes_, canonical_before);
  for (const SignalChange& change : changes_) sink_.on_change(change);
  changes_.clear();
}

}  // namespace rimebench
