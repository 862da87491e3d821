#include "harness/audit/replay.hpp"

#include <algorithm>

#include "harness/trace/change_cursor.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kInputsAGrant = 256;
constexpr std::size_t kContext = 12;

/// Holds the recorded outputs against the node's, both in canonical order.
class Comparison {
 public:
  explicit Comparison(Replay& result) : result_(result) {}

  void on_input(const SignalChange& input) {
    ++result_.inputs;
    remember(input);
  }
  void on_recorded(const SignalChange& output) { recorded_.push_back(output); }

  /// The node has answered everything before `reached`. False once they differ.
  bool on_answer(const Reached& reached) {
    for (const SignalChange& replayed : reached.outputs) {
      if (recorded_.empty() || recorded_.front() != replayed) {
        const bool none = recorded_.empty() || canonical_before(replayed, recorded_.front());
        return differ(none ? std::nullopt : std::optional(recorded_.front()), replayed);
      }
      agree();
    }
    if (recorded_.empty() || recorded_.front().at >= reached.at) return true;
    return differ(recorded_.front(), std::nullopt);
  }

 private:
  void agree() {
    remember(recorded_.front());
    recorded_.pop_front();
    ++result_.agreed;
  }
  void remember(const SignalChange& change) {
    if (recent_.size() == kContext) recent_.pop_front();
    recent_.push_back(change);
  }
  bool differ(std::optional<SignalChange> recorded, std::optional<SignalChange> replayed) {
    result_.difference = ReplayDifference{recorded, replayed, {}};
    const Instant at = result_.differs_at();
    for (const SignalChange& change : recent_) {
      if (change.at <= at) result_.difference->before.push_back(change);
    }
    std::stable_sort(result_.difference->before.begin(), result_.difference->before.end(),
                     canonical_before);
    return false;
  }

  Replay& result_;
  std::deque<SignalChange> recorded_;
  std::deque<SignalChange> recent_;
};

}  // namespace

Instant Replay::differs_at() const {
  if (!difference) return end;
  const auto at = [](const std::optional<SignalChange>& change) {
    return change ? change->at : kNever;
  };
  return earlier(at(difference->recorded), at(difference->replayed));
}

Replay replay(TraceReader& trace, Node& node) {
  Replay result;
  Comparison comparison(result);
  ChangeCursor cursor(trace);
  std::vector<SignalChange> inputs;
  std::optional<SignalChange> next = cursor.next();
  Instant last{};
  for (;;) {
    inputs.clear();
    while (next && (inputs.size() < kInputsAGrant || next->at == inputs.back().at)) {
      last = next->at;
      if (class_of(next->channel) == ChannelClass::kToController) {
        inputs.push_back(*next);
        comparison.on_input(*next);
      } else if (class_of(next->channel) == ChannelClass::kFromController) {
        comparison.on_recorded(*next);
      }
      next = cursor.next();
    }
    result.complete = !next && trace.complete();
    const Instant until = next              ? next->at
                          : result.complete ? trace.footer()->proof.end
                                            : last + Duration{1};
    if (until <= result.end) break;
    const Reached reached = node.exchange({until, kNoFeedback, inputs});
    result.end = reached.at;
    if (!comparison.on_answer(reached) || !next) break;
  }
  return result;
}

}  // namespace rimebench
