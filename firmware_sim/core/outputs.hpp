#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/contract/signal_change.hpp"

namespace rimebench {

/// Every wire the controller drives: the plain outputs, then one a counter.
inline constexpr int kPlainOutputs = number(Channel::kRecipeState) - number(Channel::kValve) + 1;
inline constexpr int kOutputChannels = kPlainOutputs + static_cast<int>(Counter::kCount);

/// The place of an output channel among them.
constexpr unsigned output_index(Channel channel) {
  const bool plain = number(channel) < number(Channel::kCounterFirst);
  return plain ? unsigned{number(channel)} - number(Channel::kValve)
               : unsigned{number(channel)} - number(Channel::kCounterFirst) + kPlainOutputs;
}

/// What changed at one instant: at most one change a channel, in channel order. A value: returning
/// an empty one writes two words, the entries stay unwritten until they are needed.
class Outputs {
 public:
  explicit Outputs(Instant at) : at_(at), size_(0) {}

  bool empty() const { return size_ == 0; }
  std::size_t size() const { return size_; }
  SignalChange operator[](std::size_t index) const {
    DEMAND(index < size_);
    return {at_, entries_[index].channel, entries_[index].value};
  }

  /// Channels must come in rising order.
  void push_back(Channel channel, std::int32_t value) {
    DEMAND(size_ < entries_.size());
    DEMAND(size_ == 0 || entries_[size_ - 1].channel < channel);
    entries_[size_++] = {channel, value};
  }

 private:
  struct Entry {
    Channel channel;
    std::int32_t value;
  };
  Instant at_;
  std::size_t size_;
  std::array<Entry, kOutputChannels> entries_;
};

}  // namespace rimebench
