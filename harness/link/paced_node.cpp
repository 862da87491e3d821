#include "harness/link/paced_node.hpp"

#include "harness/link/byte_stream.hpp"
#include "harness/link/framed_node.hpp"
#include "harness/link/paced_rules.hpp"
#include "harness/link/refusal_text.hpp"

namespace rimebench {

namespace {

/// A node that leaves inputs unanswered for so long is lost.
constexpr Duration kAnswerMax = 1_s;

/// Before a run nobody waits at a pin, and a node may have to start first.
constexpr Duration kHelloMax = 10_s;

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
    const Instant until = wire_->now() + kHelloMax;
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
  lose("no answer to the hello for 10000 ms");
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
  // What is too little to see in a moment shows over the run.
  for (const auto& previous : {taken_, first_taken_}) {
    if (const auto why = objection(taken, previous)) lose(*why);
  }
  if (!first_taken_) first_taken_ = taken;
  sent_.pop_front();
  taken_ = taken;
  return taken;
}

PacedOutputs PacedNode::take(const OutputsMessage& message) {
  if (message.seq != static_cast<std::uint16_t>(outputs_seq_ + 1)) {
    lose("its outputs " + std::to_string(message.seq) + " came instead of " +
         std::to_string(outputs_seq_ + 1));
  }
  outputs_seq_ = message.seq;
  const Instant due = message.changes.front().at;
  const PacedOutputs outputs{due, due + message.late, message.changes};
  if (const auto why = objection(outputs, wire_->now(), taken_, due_)) lose(*why);
  if (const auto why = objection(outputs.changes)) lose(*why);
  due_ = due;
  return outputs;
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
