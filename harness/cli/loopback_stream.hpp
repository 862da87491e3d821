#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "firmware_sim/port/node_session.hpp"
#include "harness/link/byte_stream.hpp"

namespace rimebench {

/// A controller inside the bench, behind the frames of a link: for what can go wrong only there.
/// Whoever reads without having asked is told at once that the node is silent.
template <class Controller>
class LoopbackStream final : public ByteStream {
 public:
  std::size_t read(std::span<std::uint8_t> buffer, Deadline) override {
    if (answers_.empty()) throw StreamError(StreamLoss::kSilent, "it was not asked");
    return take_first(answers_, buffer);
  }

  void write(std::span<const std::uint8_t> bytes, Deadline) override {
    for (const std::uint8_t byte : bytes) {
      const auto answer = session_.on_byte(byte);
      answers_.insert(answers_.end(), answer.begin(), answer.end());
    }
  }

  const std::string& name() const override { return name_; }

 private:
  NodeSession<Controller> session_;
  std::vector<std::uint8_t> answers_;
  std::string name_ = "inproc";
};

}  // namespace rimebench
