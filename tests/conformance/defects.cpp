#include "tests/conformance/defects.hpp"

#include "firmware_sim/wire/cobs.hpp"

namespace rimebench::test {

namespace {

const Bytes kNothing;

/// The grant in these bytes, with its changes in `changes`.
std::optional<GrantMessage> grant_in(const Bytes* payload, Changes& changes) {
  ChangeBuffer buffer;
  if (payload == nullptr) return std::nullopt;
  auto grant = decode_grant(*payload, buffer);
  if (grant) changes.assign(grant->changes.begin(), grant->changes.end());
  return grant;
}

/// A defect that changes grants before the session sees them.
Defect grants(std::function<void(NodeState&, GrantMessage&, Changes&)> alter) {
  Defect defect;
  defect.in = [alter](NodeState& state, Bytes frame, const Bytes* payload) {
    Changes changes;
    auto grant = grant_in(payload, changes);
    if (!grant) return frame;
    alter(state, *grant, changes);
    grant->changes = changes;
    return framed(*grant);
  };
  return defect;
}

Defect outputs(std::function<void(NodeState&, ReachedMessage&, Changes&)> alter) {
  Defect defect;
  defect.reached = std::move(alter);
  return defect;
}

Defect hello_reply(std::function<void(NodeState&, HelloReplyMessage&)> alter) {
  Defect defect;
  defect.hello_reply = std::move(alter);
  return defect;
}

/// Answers a frame itself where `when` holds.
Defect answers(std::function<bool(NodeState&, const Bytes& frame, const Bytes* payload)> when,
               Bytes answer) {
  Defect defect;
  defect.answer = [when, answer](NodeState& state, const Bytes& frame,
                                 const Bytes* payload) -> std::optional<Bytes> {
    if (!when(state, frame, payload)) return std::nullopt;
    return answer;
  };
  return defect;
}

bool is_mode(const SignalChange& change) { return change.channel == Channel::kMode; }

void replace_answers(Changes& changes, std::int32_t from, std::int32_t to) {
  for (SignalChange& change : changes) {
    if (change.channel == Channel::kRecipeState && change.value == from) change.value = to;
  }
}

void add_session_defects(std::map<std::string, Defect>& all) {
  all["hello"] = hello_reply(
      [](NodeState&, HelloReplyMessage& reply) { reply.version = kProtocolVersion + 1; });
  all["nonce"] = hello_reply([](NodeState&, HelloReplyMessage& reply) { reply.nonce ^= 1U; });
  all["version"].in = [](NodeState&, Bytes frame, const Bytes* payload) {
    const auto hello = payload == nullptr ? std::nullopt : decode_hello(*payload);
    return hello ? framed(HelloMessage{kProtocolVersion, hello->nonce}) : frame;
  };
  all["no_session"].answer = [](NodeState& state, const Bytes&,
                                const Bytes* payload) -> std::optional<Bytes> {
    Changes changes;
    const auto grant = grant_in(payload, changes);
    if (!grant || state.hellos > 0) return std::nullopt;
    return framed(ReachedMessage{grant->seq, grant->until, {}});
  };
  all["fresh"] = outputs([](NodeState& state, ReachedMessage&, Changes& changes) {
    if (state.hellos > 1) std::erase_if(changes, is_mode);
  });
  all["goodbye"].deaf_to_goodbye = true;
}

/// The payload of a frame whose stuffing is whole, whatever its checksum.
std::optional<Bytes> unchecked(const Bytes& frame) {
  Bytes plain(frame.size());
  const auto size = cobs_decode({frame.data(), frame.size() - 1}, plain);
  if (!size || *size <= kChecksumBytes) return std::nullopt;
  plain.resize(*size - kChecksumBytes);
  return plain;
}

void add_frame_defects(std::map<std::string, Defect>& all) {
  all["checksum"].in = [](NodeState&, Bytes frame, const Bytes* payload) {
    if (payload != nullptr || frame.size() > kFrameMax) return frame;
    ChangeBuffer changes;
    const auto plain = unchecked(frame);
    return plain && decode_grant(*plain, changes) ? framed_payload(*plain) : frame;
  };
  all["truncated"] = answers(
      [](NodeState&, const Bytes& frame, const Bytes* payload) {
        return payload == nullptr && frame.size() > 2 && frame[1] == 0x03 && !unchecked(frame);
      },
      kNothing);
  all["oversized"] = answers(
      [](NodeState&, const Bytes& frame, const Bytes*) { return frame.size() > 10'000; }, kNothing);
  all["garbage"] =
      answers([](NodeState& state, const Bytes&,
                 const Bytes* payload) { return payload == nullptr && state.damaged > 150; },
              kNothing);
  all["malformed"] =
      answers([](NodeState&, const Bytes&,
                 const Bytes* payload) { return payload != nullptr && !message_type(*payload); },
              kNothing);
  all["empty"].answers_empty_frames = true;
  all["pause"].forgets_half_frames = true;
}

void add_number_defects(std::map<std::string, Defect>& all) {
  all["progress"] = outputs([](NodeState&, ReachedMessage& reached, Changes&) {
    reached.seq = static_cast<std::uint16_t>(reached.seq + 1);
  });
  all["sequence"] = grants([](NodeState& state, GrantMessage& grant, Changes&) {
    if (grant.seq > state.next_seq) grant.seq = state.next_seq;
  });
  all["old"].answer = [](NodeState& state, const Bytes&,
                         const Bytes* payload) -> std::optional<Bytes> {
    Changes changes;
    const auto grant = grant_in(payload, changes);
    if (!grant || grant->seq == 0 || grant->seq >= state.next_seq) return std::nullopt;
    return framed(ReachedMessage{grant->seq, state.reached, {}});
  };
  all["time"].answer = [](NodeState& state, const Bytes&,
                          const Bytes* payload) -> std::optional<Bytes> {
    Changes changes;
    const auto grant = grant_in(payload, changes);
    if (!grant || state.hellos == 0 || grant->until > state.reached) return std::nullopt;
    return framed(ReachedMessage{grant->seq, state.reached, {}});
  };
}

void add_grant_defects(std::map<std::string, Defect>& all) {
  all["order"] = grants([](NodeState&, GrantMessage& grant, Changes& changes) {
    std::erase_if(changes, [&](const SignalChange& change) { return change.at >= grant.until; });
  });
  all["channel"] = grants([](NodeState&, GrantMessage&, Changes& changes) {
    std::erase_if(changes, [](const SignalChange& change) {
      return class_of(change.channel) != ChannelClass::kToController;
    });
  });
  const auto more_than = [](std::size_t most) {
    return [most](NodeState&, const Bytes&, const Bytes* payload) {
      Changes changes;
      return grant_in(payload, changes) && changes.size() > most;
    };
  };
  all["full"] = answers(more_than(600), framed(RefusedMessage{1, Refusal::kTooMany}));
  all["too_many"] = hello_reply([](NodeState&, HelloReplyMessage& reply) { reply.capacity = 300; });
  all["instant"] = answers(
      [](NodeState&, const Bytes&, const Bytes* payload) {
        Changes changes;
        return grant_in(payload, changes) && changes.size() > 100 &&
               changes.front().at == changes.back().at;
      },
      framed(RefusedMessage{1, Refusal::kTooMany}));
}

void add_run_defects(std::map<std::string, Defect>& all) {
  // A channel that never was anything but 0 goes to 0.
  all["outputs"] = outputs([](NodeState&, ReachedMessage&, Changes& changes) {
    Changes more;
    for (const SignalChange& change : changes) {
      if (is_mode(change)) more.push_back({change.at, static_cast<Channel>(0x20ff), 0});
    }
    changes.insert(changes.end(), more.begin(), more.end());
    std::ranges::sort(changes, canonical_before);
  });
  all["lookahead"] =
      grants([](NodeState&, GrantMessage& grant, Changes&) { grant.feedback = kNoFeedback; });
  all["cuts"] = outputs([](NodeState& state, ReachedMessage&, Changes& changes) {
    if (state.grant && state.grant->until - state.reached < Duration{10'000})
      std::erase_if(changes, is_mode);
  });
  // It takes the inputs behind an early stop for consumed.
  all["resumed"] = grants([](NodeState& state, GrantMessage& grant, Changes& changes) {
    if (grant.feedback == kNoFeedback || grant.seq == 1) return;
    if (state.reached.us % 2 == 1) changes.clear();
  });
  // It keeps them, and takes them where they do not come again.
  const auto kept = std::make_shared<Changes>();
  all["forgotten"] = grants([kept](NodeState& state, GrantMessage& grant, Changes& changes) {
    if (grant.seq == 1) kept->clear();
    if (grant.seq != state.next_seq || grant.until <= state.reached) return;
    Changes old;
    std::ranges::copy_if(*kept, std::back_inserter(old), [&](const SignalChange& change) {
      const auto same = [&](const SignalChange& other) {
        return other.at == change.at && other.channel == change.channel;
      };
      return change.at >= state.reached && change.at < grant.until &&
             std::ranges::none_of(changes, same);
    });
    if (!old.empty()) {
      changes.insert(changes.end(), old.begin(), old.end());
      std::ranges::sort(changes, canonical_before);
    }
    *kept = changes;
  });
}

void add_recipe_defects(std::map<std::string, Defect>& all) {
  all["accepted"] = outputs([](NodeState& state, ReachedMessage&, Changes& changes) {
    for (SignalChange& change : changes) {
      if (change.channel != Channel::kRecipeState) continue;
      if (state.recipe_answers++ == 0 && change.value == 1) change.value = -1;
    }
  });
  all["bad_recipe"] = outputs(
      [](NodeState&, ReachedMessage&, Changes& changes) { replace_answers(changes, -2, -3); });
  all["bad_slot"] = outputs([](NodeState&, ReachedMessage&, Changes& changes) {
    for (SignalChange& change : changes) {
      if (change.channel == Channel::kRecipeState && change.value < -999) change.value = -1'000;
    }
  });
  all["long_run"] = outputs([](NodeState&, ReachedMessage&, Changes& changes) {
    std::erase_if(changes, [](const SignalChange& change) { return change.at.us >> 32 != 0; });
  });
}

}  // namespace

std::map<std::string, Defect> defects() {
  std::map<std::string, Defect> all;
  add_session_defects(all);
  add_frame_defects(all);
  add_number_defects(all);
  add_grant_defects(all);
  add_run_defects(all);
  add_recipe_defects(all);
  return all;
}

}  // namespace rimebench::test
