#include "tests/conformance/paced_defects.hpp"

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/wire/cobs.hpp"
#include "tests/paced/altered.hpp"

namespace rimebench::test {

namespace {

/// A node that answers a frame itself where `answer` gives something.
World answers(std::function<std::optional<Bytes>(const Frame& frame)> answer) {
  World world;
  world.answers = [answer](const Bytes& bytes) { return answer(Frame(bytes)); };
  return world;
}

/// A node that alters inputs before it takes them.
World inputs(std::function<void(Changes&)> alter) {
  World world;
  world.to_session = [alter](Bytes bytes) {
    const Frame frame(bytes);
    const auto message = frame.inputs();
    if (!message || std::ranges::count(bytes, kDelimiter) > 1) return bytes;
    Changes changes(message->changes.begin(), message->changes.end());
    alter(changes);
    return framed(InputsMessage{message->seq, changes});
  };
  return world;
}

bool is_input(const SignalChange& change) {
  return class_of(change.channel) == ChannelClass::kToController;
}

void add_session_defects(std::map<std::string, World>& all) {
  all["hello"] =
      altered_hello_reply([](HelloReplyMessage& reply) { reply.version = kProtocolVersion + 1; });
  all["nonce"] = altered_hello_reply([](HelloReplyMessage& reply) { reply.nonce ^= 1U; });
  all["version"].to_session = [](Bytes bytes) {
    const auto hello = decode_hello(Frame(bytes).payload());
    return hello ? framed(HelloMessage{kProtocolVersion, hello->nonce}) : bytes;
  };
  all["no_session"] =
      answers([greeted = false](const Frame& frame) mutable -> std::optional<Bytes> {
        greeted = greeted || decode_hello(frame.payload());
        const auto message = frame.inputs();
        if (greeted || !message) return std::nullopt;
        return framed(TakenMessage{message->seq, Instant{5}, Instant{5}, 0});
      });
  all["goodbye"].to_session = [](Bytes bytes) {
    return is_goodbye(Frame(bytes).payload()) ? Bytes{} : bytes;
  };
  all["lockstep"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    ChangeBuffer changes;
    const auto grant = decode_grant(frame.payload(), changes);
    if (!grant) return std::nullopt;
    return framed(ReachedMessage{grant->seq, grant->until, {}});
  });
  // Its second session goes on counting where the first one stopped.
  all["fresh"].tamper = [hellos = 0](int, Bytes bytes) mutable {
    const Frame frame(bytes);
    hellos += decode_hello_reply(frame.payload()) ? 1 : 0;
    auto out = frame.outputs();
    if (!out || hellos < 2) return bytes;
    out->seq = static_cast<std::uint16_t>(out->seq + 100);
    return framed(*out);
  };
}

void add_frame_defects(std::map<std::string, World>& all) {
  all["checksum"].to_session = [](Bytes bytes) {
    const Frame frame(bytes);
    Bytes plain(bytes.size());
    if (frame.whole() || bytes.size() > kFrameMax) return bytes;
    const auto size = cobs_decode({bytes.data(), bytes.size() - 1}, plain);
    if (!size || *size <= kChecksumBytes) return bytes;
    plain.resize(*size - kChecksumBytes);
    return plain == Bytes{0x07, 0x01} ? framed_payload(plain) : bytes;
  };
  all["truncated"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    const bool cut = !frame.whole() && frame.bytes().size() > 2 && frame.bytes()[1] == 0x07 &&
                     frame.bytes()[2] == 0x01 && frame.bytes().back() == 0 &&
                     frame.bytes()[frame.bytes().size() - 2] != 0x34;
    return cut ? std::optional(Bytes{}) : std::nullopt;
  });
  all["oversized"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    return frame.bytes().size() > 4'000 ? std::optional(Bytes{}) : std::nullopt;
  });
  all["malformed"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    const bool unknown = frame.whole() && frame.payload().front() == 0x42;
    return unknown ? std::optional(Bytes{}) : std::nullopt;
  });
  all["empty"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    const bool none = std::ranges::all_of(frame.bytes(), [](auto byte) { return byte == 0; });
    return none ? std::optional(framed(RefusedMessage{0, Refusal::kDamaged})) : std::nullopt;
  });
}

void add_input_defects(std::map<std::string, World>& all) {
  all["sequence"] = answers([](const Frame& frame) -> std::optional<Bytes> {
    const auto message = frame.inputs();
    if (!message || message->seq != 65'535) return std::nullopt;
    return framed(TakenMessage{message->seq, Instant{5}, Instant{5}, 0});
  });
  all["old"] = answers([highest = 0](const Frame& frame) mutable -> std::optional<Bytes> {
    if (decode_hello(frame.payload())) highest = 0;
    const auto message = frame.inputs();
    if (!message || message->seq == 0 || !message->changes.empty()) return std::nullopt;
    if (message->seq == highest + 1) highest = message->seq;
    const bool again = message->seq < highest;
    if (!again) return std::nullopt;
    return framed(TakenMessage{message->seq, Instant{5}, Instant{5}, 0});
  });
  all["order"] = inputs([](Changes& changes) {
    const auto broken = std::ranges::adjacent_find(
        changes, [](const auto& a, const auto& b) { return !canonical_before(a, b); });
    if (broken != changes.end()) changes.clear();
  });
  all["channel"] = inputs([](Changes& changes) { std::erase_if(changes, std::not_fn(is_input)); });
  all["instants"] = inputs([](Changes& changes) {
    std::erase_if(changes, [first = changes.empty() ? Instant{} : changes.front().at](
                               const SignalChange& change) { return change.at != first; });
  });
  all["late"] = answers([last = Instant{}](const Frame& frame) mutable -> std::optional<Bytes> {
    if (decode_hello(frame.payload())) last = {};
    const auto message = frame.inputs();
    if (!message || message->changes.empty()) return std::nullopt;
    if (message->changes.front().at < last) {
      return framed(RefusedMessage{message->seq, Refusal::kOrder});
    }
    last = message->changes.front().at;
    return std::nullopt;
  });
  // Of what came at once it sees the first frame only.
  all["in_turn"].to_session = [](Bytes bytes) {
    const auto end = std::ranges::find(bytes, kDelimiter);
    if (bytes.size() < 20 && end != bytes.end()) bytes.erase(end + 1, bytes.end());
    return bytes;
  };
}

bool is_link_lost(const SignalChange& change) {
  return change.channel == Channel::kAlarm &&
         change.value == static_cast<std::int32_t>(Fault::kLinkLost);
}

void add_time_defects(std::map<std::string, World>& all) {
  all["taken"] = altered_taken([](TakenMessage& taken) { ++taken.outputs; });
  all["clock"].node_fast_ppm = 50'000;
  all["outputs"] = altered_outputs([](OutputsMessage& out, Changes&) { out.late = 1_s; });
  all["silence"].tamper = [](int, Bytes bytes) {
    const Frame frame(bytes);  // what it decodes points into it
    const auto out = frame.outputs();
    return out && std::ranges::any_of(out->changes, is_link_lost) ? Bytes{} : bytes;
  };
  // Stamps alone are no sign of life to it: after some in a row it calls the link lost.
  all["kept"].tamper = [in_a_row = 0, last = Instant{}](int, Bytes bytes) mutable {
    const Frame frame(bytes);
    const auto taken = decode_taken(frame.payload());
    if (!taken) return bytes;
    in_a_row = taken->received - last > 50_ms ? in_a_row + 1 : 0;
    last = taken->received;
    if (in_a_row != 12) return bytes;
    const SignalChange lost{taken->received + 1_us, Channel::kAlarm,
                            static_cast<std::int32_t>(Fault::kLinkLost)};
    const std::uint16_t next = static_cast<std::uint16_t>(taken->outputs + 1);
    return joined({bytes, framed(OutputsMessage{next, 0_us, {&lost, 1}})});
  };
}

}  // namespace

std::map<std::string, World> paced_defects() {
  std::map<std::string, World> all;
  add_session_defects(all);
  add_frame_defects(all);
  add_input_defects(all);
  add_time_defects(all);
  return all;
}

}  // namespace rimebench::test
