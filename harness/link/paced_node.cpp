#include "harness/link/paced_node.hpp"

#include "harness/link/byte_stream.hpp"
#include "harness/link/framed_node.hpp"
#include "harness/link/refusal_text.hpp"

namespace rimebench {

namespace {

/// A node that leaves inputs unanswered for so long is lost.
constexpr Duration kAnswerMax = 1_s;

/// A clock that is off by more than a hundredth is none. What is rounded, or read a little before
/// or after it is sent, is forgiven.
constexpr Duration kForgiven = 100_us;
Duration most_of(Duration bench) { return bench + Duration{bench.raw / 100} + kForgiven; }
Duration least_of(Duration bench) { return bench - Duration{bench.raw / 100} - kForgiven; }

}  // namespace

PacedNode::PacedNode(std::unique_ptr<PacedWire> wire) : wire_(std::move(wire)) { greet(); }

PacedNode::~PacedNode() {
  try {
    wire_->send(encode_goodbye(frame_));
  } catch (const StreamError&) {
    // The node is gone already: nobody is left to take leave of.
    return;
  }
}

void PacedNode::lose(const std::string& what) const {
  throw LinkError("node at " + wire_->name() + ": " + what, reached_);
}

void PacedNode::greet() {
  try {
    const std::uint32_t nonce = fresh_nonce();
    // Ends whatever half a frame the last bench may have left in the node.
    constexpr std::array kFresh{kDelimiter};
    wire_->send(kFresh);
    wire_->send(encode(HelloMessage{kProtocolVersion, nonce}, frame_));
    const Instant until = wire_->now() + kAnswerMax;
    while (const auto payload = wire_->receive(until)) {
      const auto reply = decode_hello_reply(*payload);
      if (reply && reply->version == kProtocolVersion && reply->nonce == nonce) return;
      if (const auto refused = decode_refused(*payload)) {
        if (refused->reason == Refusal::kVersion) refuse(*payload);
      }
    }
  } catch (const StreamError& error) {
    lose(error.what());
  }
  lose("no answer to the hello for 1000 ms");
}

Instant PacedNode::send(std::span<const SignalChange> inputs) {
  const auto frame = encode(InputsMessage{seq_++, inputs}, frame_);
  const Instant now = wire_->now();
  sent_.push_back(now);
  try {
    wire_->send(frame);
  } catch (const StreamError& error) {
    lose(error.what());
  }
  return now;
}

PacedNews PacedNode::wait(Instant until) {
  const Instant silent_at = sent_.empty() ? kNever : sent_.front() + kAnswerMax;
  try {
    if (const auto payload = wire_->receive(earlier(until, silent_at))) {
      if (const auto taken = decode_taken(*payload)) return take(*taken);
      if (const auto outputs = decode_outputs(*payload, changes_)) return take(*outputs);
      refuse(*payload);
    }
  } catch (const StreamError& error) {
    lose(error.what());
  }
  if (wire_->now() >= silent_at) lose("no answer for 1000 ms");
  return {};
}

PacedTaken PacedNode::take(const TakenMessage& message) {
  const auto awaited = static_cast<std::uint16_t>(seq_ - sent_.size());
  if (sent_.empty() || message.seq != awaited) {
    lose("it took inputs " + std::to_string(message.seq) + " instead of " +
         std::to_string(awaited));
  }
  if (message.outputs != outputs_seq_) lose("outputs of it were lost");
  const PacedTaken taken{sent_.front(), message.received, message.replied, wire_->now()};
  believe(taken);
  sent_.pop_front();
  taken_ = taken;
  return taken;
}

/// Whatever the link did in between, a clock that runs true keeps within these.
void PacedNode::believe(const PacedTaken& taken) const {
  if (taken.replied - taken.received > most_of(taken.arrived - taken.sent)) {
    lose("it held inputs longer than they were away: its clock runs wrong");
  }
  if (!taken_) return;
  const Duration passed = taken.received - taken_->received;
  if (passed.raw < 0) lose("its clock ran back");
  const bool fast = passed > most_of(taken.arrived - taken_->sent);
  if (fast || passed < least_of(taken.sent - taken_->arrived)) {
    lose("its clock ran " + std::to_string(passed.raw) + " us while the bench's ran " +
         std::to_string((taken.sent - taken_->arrived).raw) + " to " +
         std::to_string((taken.arrived - taken_->sent).raw));
  }
}

void PacedNode::believe(const OutputsMessage& message) const {
  const Instant due = message.changes.front().at;
  if (due_ && due <= *due_) lose("its outputs were not due one after the other");
  if (!taken_) return;
  if (due <= taken_->received) lose("its outputs were due before inputs that it had taken already");
  const Duration since = due + message.late - taken_->received;
  if (since > most_of(wire_->now() - taken_->sent)) {
    lose("its outputs stood at the pins after they came here");
  }
}

PacedOutputs PacedNode::take(const OutputsMessage& message) {
  if (message.seq != static_cast<std::uint16_t>(outputs_seq_ + 1)) {
    lose("its outputs " + std::to_string(message.seq) + " came instead of " +
         std::to_string(outputs_seq_ + 1));
  }
  outputs_seq_ = message.seq;
  believe(message);
  due_ = message.changes.front().at;
  const SignalChange* previous = nullptr;
  for (const SignalChange& change : message.changes) {
    if (class_of(change.channel) != ChannelClass::kFromController) {
      lose("it put out a change on channel " + std::to_string(number(change.channel)) +
           ", which is no output");
    }
    if (previous != nullptr && !canonical_before(*previous, change)) {
      lose("its outputs are out of order");
    }
    previous = &change;
  }
  return {*due_, *due_ + message.late, message.changes};
}

void PacedNode::refuse(std::span<const std::uint8_t> payload) const {
  if (is_goodbye(payload)) lose("it said goodbye");
  const auto refused = decode_refused(payload);
  if (!refused) lose("it sent what is neither taken nor outputs");
  const bool lockstep = refused->reason == Refusal::kMessage;
  lose("it refused: " + std::string(meaning(refused->reason)) +
       (lockstep ? "; is it a paced node?" : ""));
}

}  // namespace rimebench
