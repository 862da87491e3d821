#include "harness/conformance/paced_probe.hpp"

#include <array>

#include "harness/link/byte_stream.hpp"
#include "harness/link/framed_node.hpp"

namespace rimebench {

namespace {

std::string text(const Refusing& expected) {
  return "a refusal with reason " + std::to_string(static_cast<int>(expected.reason)) +
         (expected.seq ? " and number " + std::to_string(*expected.seq) : "");
}

std::string paced_description(std::span<const std::uint8_t> payload) {
  if (const auto taken = decode_taken(payload)) return "taken " + std::to_string(taken->seq);
  return description(payload);
}

}  // namespace

void PacedProbe::send(std::span<const std::uint8_t> bytes) {
  try {
    wire_->send(bytes);
  } catch (const StreamError& error) {
    throw CheckFailed(std::string("nothing can be sent: ") + error.what());
  }
}

std::optional<Bytes> PacedProbe::receive(Instant until, const std::string& what) {
  try {
    while (const auto payload = wire_->receive(until)) {
      ChangeBuffer buffer;
      const auto out = decode_outputs(*payload, buffer);
      if (!out) return Bytes(payload->begin(), payload->end());
      const Instant due = out->changes.front().at;
      outputs_.push_back({out->seq,
                          due,
                          due + out->late,
                          wire_->now(),
                          {out->changes.begin(), out->changes.end()}});
    }
  } catch (const StreamError& error) {
    throw CheckFailed(what + ": " + error.what());
  }
  return std::nullopt;
}

Bytes PacedProbe::answer(const std::string& what) {
  const auto payload = receive(wire_->now() + patience_, what);
  require(payload.has_value(), what + ": no answer");
  return *payload;
}

HelloReplyMessage PacedProbe::greet() {
  nonce_ = fresh_nonce();
  constexpr std::array kFresh{kDelimiter};
  if (!starts_empty()) send(kFresh);
  send(framed(HelloMessage{kProtocolVersion, nonce_}));
  seq_ = 1;
  while (true) {
    const Bytes payload = answer("a hello");
    const auto reply = decode_hello_reply(payload);
    if (!reply && !starts_empty()) continue;
    require(reply.has_value(), "a hello: the answer is " + paced_description(payload));
    outputs_.clear();
    node_name_.assign(reply->name.begin(), reply->name.end());
    return {reply->version, reply->nonce, reply->capacity, {}};
  }
}

TakenMessage PacedProbe::give_plainly(std::span<const SignalChange> inputs) {
  send(framed(InputsMessage{seq_, inputs}));
  return next_taken();
}

TakenMessage PacedProbe::next_taken() {
  const std::string what = "inputs " + std::to_string(seq_++);
  const Bytes payload = answer(what);
  const auto taken = decode_taken(payload);
  require(taken.has_value(), what + ": the answer is " + paced_description(payload));
  return *taken;
}

void PacedProbe::expect_each_taken(std::span<const std::uint8_t> bytes, int count) {
  send(bytes);
  for (int i = 0; i < count; ++i) {
    const std::uint16_t awaited = seq_;
    const TakenMessage taken = next_taken();
    require(taken.seq == awaited, "several inputs at once: taken " + std::to_string(taken.seq) +
                                      " came instead of " + std::to_string(awaited));
  }
}

PacedTaken PacedProbe::give(std::span<const SignalChange> inputs) {
  const Instant sent = wire_->now();
  const TakenMessage taken = give_plainly(inputs);
  return {sent, taken.received, taken.replied, wire_->now()};
}

void PacedProbe::expect_refusal(std::span<const std::uint8_t> bytes, const Refusing& expected,
                                const std::string& what) {
  send(bytes);
  const Bytes payload = answer(what);
  const auto refused = decode_refused(payload);
  const bool same = refused && refused->reason == expected.reason &&
                    refused->seq == expected.seq.value_or(refused->seq);
  require(same,
          what + ": expected " + text(expected) + ", the answer is " + paced_description(payload));
}

void PacedProbe::expect_unharmed(const std::string& what) {
  try {
    give_plainly({});
  } catch (const CheckFailed& error) {
    throw CheckFailed("after " + what + ": " + error.what());
  }
}

void PacedProbe::expect_gone(std::span<const std::uint8_t> bytes, const std::string& what) {
  try {
    wire_->send(bytes);
    const auto payload = wire_->receive(wire_->now() + patience_);
    const auto refused = payload ? decode_refused(*payload) : std::nullopt;
    require(refused && refused->reason == Refusal::kNoSession,
            what + ": the session should be over, the answer is " +
                (payload ? paced_description(*payload) : "none"));
  } catch (const StreamError& error) {
    require(error.loss() == StreamLoss::kClosed, what + ": " + error.what());
  }
}

void PacedProbe::watch(Duration most, const std::function<bool()>& enough) {
  constexpr Duration kStep = 20_ms;
  for (const Instant end = wire_->now() + most; wire_->now() < end && !enough();) {
    const auto payload = receive(earlier(end, wire_->now() + kStep), "silence");
    require(!payload, "nothing was asked, yet there is " +
                          (payload ? paced_description(*payload) : std::string()));
  }
}

}  // namespace rimebench
