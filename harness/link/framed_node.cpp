#include "harness/link/framed_node.hpp"

#include <array>
#include <utility>

#include "harness/link/grant_cut.hpp"
#include "harness/link/refusal_text.hpp"

namespace rimebench {

namespace {

/// Where a node stops that puts these out.
Instant stop_of(std::span<const SignalChange> outputs, const Feedback& feedback) {
  for (const SignalChange& output : outputs) {
    if (feedback.watched.has(output.channel)) return output.at + feedback.lookahead;
  }
  return kNever;
}

}  // namespace

std::uint32_t fresh_nonce() {
  return static_cast<std::uint32_t>(std::chrono::steady_clock::now().time_since_epoch().count());
}

FramedNode::FramedNode(std::unique_ptr<ByteStream> stream, std::chrono::milliseconds silence_max)
    : channel_(std::move(stream)), silence_max_(silence_max) {
  greet();
}

FramedNode::~FramedNode() {
  try {
    channel_.send(encode_goodbye(frame_), deadline_in(silence_max_));
  } catch (const StreamError&) {
    // The node is gone already: nobody is left to take leave of.
    return;
  }
}

void FramedNode::lose(const std::string& what) const {
  throw LinkError("node at " + channel_.name() + ": " + what, reached_);
}

void FramedNode::lose(const StreamError& error) const {
  if (error.loss() != StreamLoss::kSilent) lose(error.what());
  lose("no answer for " + std::to_string(silence_max_.count()) + " ms");
}

void FramedNode::greet() {
  start_watch();
  const std::uint32_t nonce = fresh_nonce();
  // Ends whatever half a frame the last bench may have left in the node.
  constexpr std::array kFresh{kDelimiter};
  if (!channel_.starts_empty()) send(kFresh);
  send(encode(HelloMessage{kProtocolVersion, nonce}, frame_));
  FrameEvent event = receive();
  while (!channel_.starts_empty() && is_left_over(event, nonce)) event = receive();
  const auto reply = decode_hello_reply(answer(event));
  if (!reply) lose("its answer to the hello is not a hello reply");
  take(*reply, nonce);
}

/// On a line that has no beginning, what a session before this one left behind.
bool FramedNode::is_left_over(FrameEvent event, std::uint32_t nonce) const {
  if (event == FrameEvent::kBroken) return true;
  if (const auto refused = decode_refused(channel_.payload())) {
    return refused->reason != Refusal::kVersion;
  }
  const auto reply = decode_hello_reply(channel_.payload());
  return !reply || reply->nonce != nonce;
}

void FramedNode::take(const HelloReplyMessage& reply, std::uint32_t nonce) {
  if (reply.version != kProtocolVersion) {
    lose("it speaks protocol version " + std::to_string(reply.version) + ", the bench speaks " +
         std::to_string(kProtocolVersion));
  }
  if (reply.nonce != nonce) lose("it answered a hello of another session");
  if (reply.capacity < kCapacityMin) {
    lose("it takes " + std::to_string(reply.capacity) + " changes a frame, fewer than the " +
         std::to_string(kCapacityMin) + " that the protocol asks for");
  }
  capacity_ = reply.capacity;
  name_.assign(reply.name.begin(), reply.name.end());
}

void FramedNode::restart(Instant at) {
  reached_ = at;
  seq_ = 1;
  greet();
}

Reached FramedNode::exchange(const Grant& grant) {
  outputs_.clear();
  std::span<const SignalChange> inputs = grant.inputs;
  if (reached_ >= kLastInstant) {
    lose("the run is longer than the " + std::to_string(kLastInstant.us) + " us of a link");
  }
  Instant until = earlier(grant.until, kLastInstant);
  while (true) {
    const GrantPiece piece = cut_grant(inputs, until, capacity_);
    const ReachedMessage answer = ask({seq_, piece.until, grant.feedback, piece.inputs});
    outputs_.insert(outputs_.end(), answer.changes.begin(), answer.changes.end());
    // The lookahead runs from the first watched output of the whole grant, not from that of a
    // piece: the later ones lower nothing.
    until = earlier(until, stop_of(answer.changes, grant.feedback));
    if (reached_ < piece.until || reached_ >= until) return {reached_, outputs_};
    inputs = inputs.subspan(piece.inputs.size());
  }
}

ReachedMessage FramedNode::ask(const GrantMessage& grant) {
  start_watch();
  send(encode(grant, frame_));
  const auto reached = decode_reached(answer(receive()), changes_);
  if (!reached) lose("its answer to a grant is not a reached");
  check(grant, *reached);
  ++seq_;
  reached_ = reached->at;
  return *reached;
}

void FramedNode::check(const GrantMessage& grant, const ReachedMessage& reached) const {
  if (reached.seq != grant.seq) {
    lose("it answered grant " + std::to_string(reached.seq) + " instead of " +
         std::to_string(grant.seq));
  }
  if (reached.at <= reached_ || reached.at > grant.until) {
    lose("granted up to " + std::to_string(grant.until.us) + " us, it says it reached " +
         std::to_string(reached.at.us) + " us");
  }
  const SignalChange* previous = nullptr;
  for (const SignalChange& change : reached.changes) {
    if (class_of(change.channel) != ChannelClass::kFromController) {
      lose("it put out a change on channel " + std::to_string(number(change.channel)) +
           ", which is no output");
    }
    const bool ordered = previous == nullptr || canonical_before(*previous, change);
    if (!ordered || change.at < reached_ || change.at >= reached.at) {
      lose("its output at " + std::to_string(change.at.us) + " us on channel " +
           std::to_string(number(change.channel)) + " is out of order");
    }
    previous = &change;
  }
  const Instant stop = stop_of(reached.changes, grant.feedback);
  if (reached.at > stop) {
    lose("it ran to " + std::to_string(reached.at.us) + " us, past its first watched output at " +
         std::to_string((stop - grant.feedback.lookahead).us) + " us plus the lookahead");
  }
}

void FramedNode::send(std::span<const std::uint8_t> bytes) {
  try {
    channel_.send(bytes, answer_due_);
  } catch (const StreamError& error) {
    lose(error);
  }
}

FrameEvent FramedNode::receive() {
  try {
    return channel_.receive(answer_due_);
  } catch (const StreamError& error) {
    lose(error);
  }
}

/// The payload of an answer: not damaged, not a refusal, not a goodbye.
std::span<const std::uint8_t> FramedNode::answer(FrameEvent event) const {
  if (event == FrameEvent::kBroken) lose("a frame arrived damaged");
  const auto payload = channel_.payload();
  if (const auto refused = decode_refused(payload)) {
    const std::string what =
        refused->seq == 0 ? "a frame" : "grant " + std::to_string(refused->seq);
    lose("it refused " + what + ": " + meaning(refused->reason));
  }
  if (is_goodbye(payload)) lose("it said goodbye");
  return payload;
}

}  // namespace rimebench
