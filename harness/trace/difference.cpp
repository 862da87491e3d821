#include "harness/trace/difference.hpp"

#include <deque>

#include "harness/trace/change_cursor.hpp"

namespace rimebench {

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
