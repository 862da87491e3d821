#include "harness/session/hung_node.hpp"

namespace rimebench {

void HungNode::remember(const SignalChange& output) {
  for (Wire& wire : wires_) {
    if (wire.channel == output.channel) wire.high = output.value != 0;
  }
}

Reached HungNode::exchange(const Grant& grant) {
  if (reached_ < hang_.at) {
    const Grant alive{earlier(grant.until, hang_.at), grant.feedback, grant.inputs};
    const Reached came = inner_.exchange(alive);
    for (const SignalChange& output : came.outputs) remember(output);
    reached_ = came.at;
    return came;
  }
  drops_.clear();
  reached_ = grant.until;
  const Instant drop = hang_.at + hang_.watchdog;
  if (hang_.watchdog > 0_us && !dropped_ && drop < grant.until) {
    dropped_ = true;
    for (const Wire& wire : wires_) {
      if (wire.high) drops_.push_back({drop, wire.channel, 0});
    }
    if (!drops_.empty()) reached_ = earlier(grant.until, drop + grant.feedback.lookahead);
  }
  return {reached_, drops_};
}

}  // namespace rimebench
