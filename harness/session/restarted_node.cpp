#include "harness/session/restarted_node.hpp"

#include "firmware_sim/contract/channel.hpp"

namespace rimebench {

namespace {

bool is_counter(Channel channel) { return channel >= Channel::kCounterFirst; }

}  // namespace

Reached RestartedNode::exchange(const Grant& grant) {
  outputs_.clear();
  const bool off = reached_ >= restart_.at && reached_ < restart_.at + restart_.lasts;
  const Reached came = off ? dark(grant) : alive(grant);
  for (const SignalChange& input : grant.inputs) {
    if (input.at < came.at) inputs_[input.channel] = input.value;
  }
  reached_ = came.at;
  return came;
}

Reached RestartedNode::alive(const Grant& grant) {
  Grant part = grant;
  if (reached_ < restart_.at) {
    part.until = earlier(grant.until, restart_.at);
  } else if (!up_again_) {
    inner_.restart(reached_);
    come_up(grant.inputs);
    part.inputs = told_;
    up_again_ = true;
  }
  const Reached came = inner_.exchange(part);
  for (SignalChange output : came.outputs) {
    if (is_counter(output.channel)) output.value += before_[output.channel];
    shown_[output.channel] = output.value;
    outputs_.push_back(output);
  }
  return {came.at, outputs_};
}

Reached RestartedNode::dark(const Grant& grant) {
  Instant until = earlier(grant.until, restart_.at + restart_.lasts);
  if (!dropped_) {
    dropped_ = true;
    drop_wires();
    if (!outputs_.empty()) until = earlier(until, restart_.at + grant.feedback.lookahead);
  }
  return {until, outputs_};
}

void RestartedNode::drop_wires() {
  for (auto& [channel, value] : shown_) {
    if (is_counter(channel)) {
      before_[channel] = value;
    } else if (value != 0) {
      value = 0;
      outputs_.push_back({restart_.at, channel, 0});
    }
  }
}

/// Every input as it is at this instant, then what comes after.
void RestartedNode::come_up(std::span<const SignalChange> more) {
  for (; !more.empty() && more.front().at == reached_; more = more.subspan(1)) {
    inputs_[more.front().channel] = more.front().value;
  }
  for (const auto& [channel, value] : inputs_) {
    if (value != 0) told_.push_back({reached_, channel, value});
  }
  told_.insert(told_.end(), more.begin(), more.end());
}

}  // namespace rimebench
