#include "harness/conformance/probe.hpp"

#include <algorithm>
#include <array>

#include "harness/link/framed_node.hpp"
#include "harness/link/grant_cut.hpp"

namespace rimebench {

namespace {

std::string us(Instant at) { return std::to_string(at.us) + " us"; }

}  // namespace

Bytes framed_payload(const Bytes& bytes) {
  Payload payload;
  for (const std::uint8_t byte : bytes) put_byte(payload, byte);
  FrameBuffer buffer;
  const auto frame = encode_frame(payload, buffer);
  return {frame.begin(), frame.end()};
}

Bytes framed_goodbye() {
  FrameBuffer buffer;
  const auto frame = encode_goodbye(buffer);
  return {frame.begin(), frame.end()};
}

std::string description(std::span<const std::uint8_t> payload) {
  ChangeBuffer changes;
  if (const auto refused = decode_refused(payload)) {
    return "refused with reason " + std::to_string(static_cast<int>(refused->reason)) +
           " and number " + std::to_string(refused->seq);
  }
  if (const auto reached = decode_reached(payload, changes)) {
    return "reached " + std::to_string(reached->seq) + " at " + us(reached->at) + " with " +
           std::to_string(reached->changes.size()) + " outputs";
  }
  if (decode_hello_reply(payload)) return "a hello reply";
  if (is_goodbye(payload)) return "a goodbye";
  return "a payload of type " + std::to_string(payload.empty() ? 0 : payload.front()) + " and " +
         std::to_string(payload.size()) + " bytes that is no message of a node";
}

void Probe::send(std::span<const std::uint8_t> bytes) {
  try {
    channel_.send(bytes, deadline_in(patience_.answer));
  } catch (const StreamError& error) {
    throw CheckFailed(std::string("nothing can be sent: ") + error.what());
  }
}

FrameEvent Probe::next_frame(const std::string& answer_to) {
  try {
    return channel_.receive(deadline_in(patience_.answer));
  } catch (const StreamError& error) {
    const bool silent = error.loss() == StreamLoss::kSilent;
    throw CheckFailed(answer_to + ": " + (silent ? "no answer" : error.what()));
  }
}

std::span<const std::uint8_t> Probe::receive(const std::string& answer_to) {
  require(next_frame(answer_to) == FrameEvent::kFrame, answer_to + ": a damaged frame came back");
  return channel_.payload();
}

HelloReplyMessage Probe::greet() {
  nonce_ = fresh_nonce();
  constexpr std::array kFresh{kDelimiter};
  if (!starts_empty()) send(kFresh);
  send(framed(HelloMessage{kProtocolVersion, nonce_}));
  seq_ = 1;
  reached_ = {};
  while (true) {
    const bool whole = next_frame("a hello") == FrameEvent::kFrame;
    const auto payload = channel_.payload();
    if (whole) {
      if (const auto reply = decode_hello_reply(payload)) {
        capacity_ = std::max<std::size_t>(reply->capacity, kCapacityMin);
        node_name_.assign(reply->name.begin(), reply->name.end());
        return *reply;
      }
    }
    // A serial line may still hold what the last check left there.
    if (!starts_empty()) continue;
    throw CheckFailed("a hello: the answer is " +
                      (whole ? description(payload) : "a damaged frame"));
  }
}

Came Probe::grant(Instant until, std::span<const SignalChange> inputs, const Feedback& feedback) {
  const std::string what = "grant " + std::to_string(seq_) + " to " + us(until);
  send(framed(GrantMessage{seq_, until, feedback, inputs}));
  const auto payload = receive(what);
  const auto reached = decode_reached(payload, changes_);
  require(reached.has_value(), what + ": the answer is " + description(payload));
  require(reached->at > reached_ && reached->at <= until,
          what + ", from " + us(reached_) + ": it says it reached " + us(reached->at));
  ++seq_;
  reached_ = reached->at;
  return {reached_, {reached->changes.begin(), reached->changes.end()}};
}

Changes Probe::run(const RunPlan& plan, const std::function<Instant()>& cut) {
  std::span<const SignalChange> inputs = plan.inputs;
  Changes outputs;
  while (reached_ < plan.until) {
    while (!inputs.empty() && inputs.front().at < reached_) inputs = inputs.subspan(1);
    const Instant until = cut ? earlier(plan.until, cut()) : plan.until;
    const GrantPiece piece = cut_grant(inputs, until, capacity_);
    const Came came = grant(piece.until, piece.inputs, plan.feedback);
    outputs.insert(outputs.end(), came.outputs.begin(), came.outputs.end());
  }
  return outputs;
}

void Probe::expect_refused(const Refusing& expected, const std::string& what) {
  const auto payload = receive(what);
  const auto refused = decode_refused(payload);
  const bool same = refused && refused->reason == expected.reason &&
                    refused->seq == expected.seq.value_or(refused->seq);
  require(same, what + ": expected a refusal with reason " +
                    std::to_string(static_cast<int>(expected.reason)) +
                    (expected.seq ? " and number " + std::to_string(*expected.seq) : "") +
                    ", the answer is " + description(payload));
}

void Probe::expect_refusal(std::span<const std::uint8_t> bytes, const Refusing& expected,
                           const std::string& what) {
  send(bytes);
  expect_refused(expected, what);
}

void Probe::expect_quiet(const std::string& what) {
  try {
    const FrameEvent event = channel_.receive(deadline_in(patience_.quiet));
    throw CheckFailed(what + ": nothing should come, yet there is " +
                      (event == FrameEvent::kFrame ? description(channel_.payload())
                                                   : std::string("a damaged frame")));
  } catch (const StreamError& error) {
    require(error.loss() == StreamLoss::kSilent, what + ": " + error.what());
  }
}

void Probe::expect_unharmed(const std::string& what) {
  try {
    grant(reached_ + Duration{1});
  } catch (const CheckFailed& error) {
    throw CheckFailed("after " + what + ": " + error.what());
  }
}

}  // namespace rimebench
