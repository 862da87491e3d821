#pragma once

#include <map>
#include <vector>

#include "harness/link/node.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

/// Any node whose controller loses its supply: in that microsecond all its wires drop, and what
/// comes until it is up again is lost on it. The fresh controller knows nothing; it is told every
/// input as it then is, the recipe and its commit among them, as the line's host would. Counters go
/// on from where they were: the line's host adds them up.
class RestartedNode final : public Node {
 public:
  RestartedNode(Node& inner, const CoreRestart& restart) : inner_(inner), restart_(restart) {}

  Reached exchange(const Grant& grant) override;
  std::size_t capacity() const override { return inner_.capacity(); }
  void restart(Instant at) override { inner_.restart(at); }

 private:
  Reached alive(const Grant& grant);
  Reached dark(const Grant& grant);
  void drop_wires();
  void come_up(std::span<const SignalChange> more);

  Node& inner_;
  CoreRestart restart_;
  Instant reached_{};
  bool dropped_{false};
  bool up_again_{false};
  std::map<Channel, std::int32_t> inputs_;  ///< as they are
  std::map<Channel, std::int32_t> shown_;   ///< outputs as the line sees them
  std::map<Channel, std::int32_t> before_;  ///< counters of the controllers before this one
  std::vector<SignalChange> told_;
  std::vector<SignalChange> outputs_;
};

}  // namespace rimebench
