#include "harness/trace/difference.hpp"

#include <deque>

namespace rimebench {

namespace {

/// The changes of a trace one by one, across blocks.
class ChangeCursor {
 public:
  explicit ChangeCursor(TraceReader& reader) : reader_(reader) {}

  std::optional<SignalChange> next() {
    while (index_ == reader_.changes().size()) {
      index_ = 0;
      if (!reader_.next()) return std::nullopt;
    }
    return reader_.changes()[index_++];
  }

 private:
  TraceReader& reader_;
  std::size_t index_ = 0;
};

}  // namespace

std::optional<TraceDifference> first_difference(TraceReader& a, TraceReader& b) {
  ChangeCursor cursor_a(a);
  ChangeCursor cursor_b(b);
  std::deque<SignalChange> before;
  for (std::uint64_t agreed = 0;; ++agreed) {
    const auto in_a = cursor_a.next();
    const auto in_b = cursor_b.next();
    if (in_a != in_b) {
      return TraceDifference{agreed, {before.begin(), before.end()}, in_a, in_b};
    }
    if (!in_a) return std::nullopt;
    if (before.size() == TraceDifference::kBeforeMax) before.pop_front();
    before.push_back(*in_a);
  }
}

}  // namespace rimebench
