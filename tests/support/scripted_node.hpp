#pragma once

#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include "harness/link/node.hpp"

namespace rimebench::test {

/// A node that plays outputs written down beforehand, whatever the line does, and remembers what
/// it was told. It keeps to the rules of a grant like any other.
class ScriptedNode final : public Node {
 public:
  /// Outputs in canonical order.
  explicit ScriptedNode(std::vector<SignalChange> outputs = {}) : script_(std::move(outputs)) {}

  Reached exchange(const Grant& grant) override {
    feedbacks.push_back(grant.feedback);
    Instant until = grant.until;
    const std::size_t first = played_;
    while (played_ < script_.size() && script_[played_].at < until) {
      const SignalChange& output = script_[played_];
      if (grant.feedback.watched.has(output.channel)) {
        until = earlier(until, output.at + grant.feedback.lookahead);
      }
      ++played_;
    }
    for (const SignalChange& input : grant.inputs) {
      if (input.at < until) inputs.push_back(input);
    }
    return {until, {script_.data() + first, played_ - first}};
  }

  std::size_t capacity() const override { return std::numeric_limits<std::size_t>::max(); }

  std::vector<SignalChange> inputs;
  std::vector<Feedback> feedbacks;  ///< of each grant

 private:
  std::vector<SignalChange> script_;
  std::size_t played_{0};
};

}  // namespace rimebench::test
