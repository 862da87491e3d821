#include "harness/session/faulty_stream.hpp"

namespace rimebench {

namespace {

/// One bit of a frame's body; its end is left alone.
void damage(std::span<std::uint8_t> frame) { frame[(frame.size() - 1) / 2] ^= 1; }

}  // namespace

void FaultyStream::write(std::span<const std::uint8_t> bytes, Deadline deadline) {
  if (meets(LinkFaultKind::kCut)) throw StreamError(StreamLoss::kClosed, "the connection was cut");
  if (meets(LinkFaultKind::kGrantLost)) return;
  if (!struck_) answer_.clear();
  if (!meets(LinkFaultKind::kGrantDamaged)) return inner_->write(bytes, deadline);
  std::vector<std::uint8_t> frame(bytes.begin(), bytes.end());
  damage(frame);
  inner_->write(frame, deadline);
  struck_ = false;
}

std::size_t FaultyStream::read(std::span<std::uint8_t> buffer, Deadline deadline) {
  const bool late =
      meets(LinkFaultKind::kAnswersLate) && std::chrono::microseconds(fault_.late.raw) > patience_;
  if (late || meets(LinkFaultKind::kGrantLost) || meets(LinkFaultKind::kAnswerLost)) {
    throw StreamError(StreamLoss::kSilent, "nothing came");
  }
  if (meets(LinkFaultKind::kAnswerRepeated) && !answer_.empty()) return take_first(answer_, buffer);
  const std::size_t size = inner_->read(buffer, deadline);
  const auto came = buffer.first(size);
  if (meets(LinkFaultKind::kAnswerDamaged)) {
    damage(came);
    struck_ = false;
  }
  if (!struck_) answer_.insert(answer_.end(), came.begin(), came.end());
  return size;
}

}  // namespace rimebench
