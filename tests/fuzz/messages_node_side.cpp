#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::fuzz {

namespace {

/// What a node may answer with, whatever it was sent.
class Answers {
 public:
  void check(std::span<const std::uint8_t> frame) {
    FrameReader reader;
    DEMAND(test::feed(reader, frame) == std::vector{FrameEvent::kFrame});
    const auto payload = reader.payload();
    if (decode_hello_reply(payload)) {
      reached_ = {};
    } else if (const auto reached = decode_reached(payload, changes_)) {
      check(*reached);
    } else {
      DEMAND(decode_refused(payload).has_value());
    }
  }

 private:
  void check(const ReachedMessage& reached) {
    DEMAND(reached.at > reached_);
    const SignalChange* last = nullptr;
    for (const SignalChange& change : reached.changes) {
      DEMAND(class_of(change.channel) == ChannelClass::kFromController);
      DEMAND(change.at >= reached_ && change.at < reached.at);
      DEMAND(last == nullptr || canonical_before(*last, change));
      last = &change;
    }
    reached_ = reached.at;
  }

  ChangeBuffer changes_{};
  Instant reached_{};
};

}  // namespace

/// Whatever a bench sends, a node answers a frame at most once, in order and in time.
void messages_node_side(Input bytes) {
  NodeSession<DoseController> session;
  Answers answers;
  for (Pieces pieces(bytes); !pieces.done();) {
    std::size_t replies = 0;
    std::size_t delimiters = 0;
    for (const std::uint8_t byte : next_on_the_wire(pieces)) {
      delimiters += byte == kDelimiter ? 1 : 0;
      const auto reply = session.on_byte(byte);
      if (reply.empty()) continue;
      ++replies;
      answers.check(reply);
    }
    DEMAND(replies <= delimiters);
  }
}

}  // namespace rimebench::fuzz
