#pragma once

#include <chrono>
#include <memory>

#include "harness/link/framed_node.hpp"
#include "harness/session/faulty_stream.hpp"

namespace rimebench {

/// Any node behind a link that fails at a moment. A grant ends there, so that what is known until
/// then is the same however the run is cut and wherever the node is.
class FaultyLink final : public Node {
 public:
  /// Throws LinkError if nobody answers the hello.
  FaultyLink(std::unique_ptr<ByteStream> stream, const LinkFault& fault,
             std::chrono::milliseconds silence_max = kSilenceMax)
      : FaultyLink(std::make_unique<FaultyStream>(std::move(stream), fault, silence_max), fault.at,
                   silence_max) {}

  Reached exchange(const Grant& grant) override {
    Grant part = grant;
    if (reached_ < fails_at_) {
      part.until = earlier(grant.until, fails_at_);
    } else if (!failed_) {
      stream_.strike();
      failed_ = true;
    }
    const Reached came = node_.exchange(part);
    reached_ = came.at;
    return came;
  }

  void restart(Instant at) override { node_.restart(at); }
  std::size_t capacity() const override { return node_.capacity(); }

 private:
  FaultyLink(std::unique_ptr<FaultyStream> stream, Instant fails_at,
             std::chrono::milliseconds silence_max)
      : stream_(*stream), node_(std::move(stream), silence_max), fails_at_(fails_at) {}

  FaultyStream& stream_;  ///< the node's
  FramedNode node_;
  Instant fails_at_;
  Instant reached_{};
  bool failed_{false};
};

}  // namespace rimebench
