#pragma once

#include <cstddef>
#include <limits>
#include <vector>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/core/grant.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

/// A controller inside the bench itself: no frames, no copies of the inputs. Never throws.
template <class Controller>
class HostedNode final : public Node {
 public:
  Reached exchange(const Grant& grant) override {
    outputs_.clear();
    const Instant at =
        run_grant(controller_, grant.inputs, grant.until, grant.feedback,
                  [this](const SignalChange& change) { outputs_.push_back(change); });
    return {at, outputs_};
  }

  void restart(Instant) override { controller_ = {}; }

  std::size_t capacity() const override { return std::numeric_limits<std::size_t>::max(); }

 private:
  Controller controller_;
  std::vector<SignalChange> outputs_;
};

/// The controller core.
using InprocNode = HostedNode<DoseController>;

}  // namespace rimebench
