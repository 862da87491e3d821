#include "plant_model/line/rewinding_plant.hpp"

#include <algorithm>
#include <limits>

namespace rimebench {

namespace {

/// For what a plant does a second time.
class Nowhere final : public RunSink {
  void on_change(const SignalChange&) override {}
  void on_row(const LedgerRow&) override {}
};

}  // namespace

Ahead RewindingPlant::next(std::size_t inputs_max) {
  const Duration reaction = plant_.reaction();
  if (reaction.raw == 0) return plant_.next(inputs_max);
  const Instant sure = plant_.reached() + reaction;
  if (plant_.ahead() <= sure) {
    outputs_.clear();
    plant_.run_ahead(sure, inputs_max);
    // It has stopped short of that if it has inputs enough.
    if (plant_.ahead() == sure) {
      saved_ = plant_;
      plant_.run_ahead(kNever, inputs_max);
    }
  }
  Ahead granted = plant_.granted();
  if (granted.until > sure) {
    granted.feedback.watched.add(Channel::kLinePermit);
    granted.feedback.lookahead = std::min(granted.feedback.lookahead, reaction);
  }
  return granted;
}

void RewindingPlant::settle(Instant reached, std::span<const SignalChange> outputs, RunSink& sink) {
  const Instant followed = plant_.first_followed(outputs);
  if (plant_.reaction().raw > 0 && followed < plant_.ahead()) rewind(followed);
  plant_.settle(reached, outputs, sink);
  outputs_.insert(outputs_.end(), outputs.begin(), outputs.end());
}

void RewindingPlant::rewind(Instant followed) {
  const Instant reached = plant_.reached();
  plant_ = saved_;
  plant_.run_ahead(followed, std::numeric_limits<std::size_t>::max());
  Nowhere nowhere;
  if (reached > plant_.reached()) plant_.settle(reached, outputs_, nowhere);
}

}  // namespace rimebench
