#pragma once

#include <array>
#include <vector>

#include "harness/link/node.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

/// Any node, until its core hangs: from then on it takes its inputs, does nothing, and its outputs
/// stay as they were. Its watchdog, if it has one, then drops its wires for good.
class HungNode final : public Node {
 public:
  HungNode(Node& inner, const CoreHang& hang) : inner_(inner), hang_(hang) {}

  Reached exchange(const Grant& grant) override;
  std::size_t capacity() const override { return inner_.capacity(); }

 private:
  struct Wire {
    Channel channel;
    bool high{};
  };
  void remember(const SignalChange& output);

  Node& inner_;
  CoreHang hang_;
  Instant reached_{};
  bool dropped_{false};
  std::array<Wire, 4> wires_{{{Channel::kValve, false},
                              {Channel::kReject, false},
                              {Channel::kLinePermit, false},
                              {Channel::kSupplyIsolation, false}}};
  std::vector<SignalChange> drops_;
};

}  // namespace rimebench
