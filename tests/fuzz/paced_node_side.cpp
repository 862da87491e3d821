#include <optional>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/paced_session.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::fuzz {

namespace {

/// A clock that the input moves, pins that take a moment, and a look at all that is sent.
class Port {
 public:
  Instant now() const { return now_; }
  void advance(Duration step) { now_ = now_ + step; }
  Instant drive(std::span<const SignalChange> outputs) {
    DEMAND(!outputs.empty());
    return now_ = now_ + 3_us;
  }

  void send(std::span<const std::uint8_t> frame) {
    FrameReader reader;
    DEMAND(test::feed(reader, frame) == std::vector{FrameEvent::kFrame});
    const auto payload = reader.payload();
    if (decode_hello_reply(payload)) {
      seq_ = 0;
      outputs_seq_ = 0;
      taken_.reset();
      due_.reset();
    } else if (const auto taken = decode_taken(payload)) {
      check(*taken);
    } else if (const auto outputs = decode_outputs(payload, changes_)) {
      check(*outputs);
    } else {
      DEMAND(decode_refused(payload).has_value());
    }
  }

 private:
  void check(const TakenMessage& taken) {
    DEMAND(taken.seq == static_cast<std::uint16_t>(++seq_));
    DEMAND(taken.outputs == outputs_seq_);
    DEMAND(!taken_ || taken.received >= *taken_);
    DEMAND(taken.replied <= now_);
    taken_ = taken.received;
  }

  void check(const OutputsMessage& outputs) {
    DEMAND(outputs.seq == static_cast<std::uint16_t>(++outputs_seq_));
    const SignalChange* last = nullptr;
    for (const SignalChange& change : outputs.changes) {
      DEMAND(class_of(change.channel) == ChannelClass::kFromController);
      DEMAND(last == nullptr || canonical_before(*last, change));
      last = &change;
    }
    const Instant due = outputs.changes.front().at;
    DEMAND(!due_ || due > *due_);
    DEMAND(!taken_ || due > *taken_);
    due_ = due;
  }

  Instant now_{1'000};
  ChangeBuffer changes_{};
  std::uint16_t seq_{};
  std::uint16_t outputs_seq_{};
  std::optional<Instant> taken_;
  std::optional<Instant> due_;
};

/// However much is due, a controller that never comes to rest would hang the node.
constexpr int kTimersMax = 100'000;

}  // namespace

/// Whatever a bench sends, and whenever, a paced node answers in order and on time's side.
void paced_node_side(Input bytes) {
  Port port;
  PacedSession<DoseController, Port> session(port);
  int timers = 0;
  for (Pieces pieces(bytes); !pieces.done();) {
    // Up to 16 ms later, or up to 4 s.
    const std::uint8_t step = pieces.byte();
    port.advance(Duration{step % 2 == 0 ? step * 64 : step * 16'000});
    session.on_time();
    for (const std::uint8_t byte : next_on_the_wire(pieces)) session.on_byte(byte);
    session.on_time();
    DEMAND(session.next_wake() > port.now() || ++timers < kTimersMax);
  }
}

}  // namespace rimebench::fuzz
