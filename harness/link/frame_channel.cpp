#include "harness/link/frame_channel.hpp"

namespace rimebench {

FrameEvent FrameChannel::receive(Deadline deadline) {
  while (true) {
    if (unread_.empty()) unread_ = {received_.data(), stream_->read(received_, deadline)};
    const std::uint8_t byte = unread_.front();
    unread_ = unread_.subspan(1);
    const FrameEvent event = reader_.add(byte);
    if (event == FrameEvent::kFrame || event == FrameEvent::kBroken) return event;
  }
}

}  // namespace rimebench
