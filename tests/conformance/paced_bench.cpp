/// The bench is held to the page as a node is: whatever a paced node gets wrong that the bench can
/// see ends the run, with what it was.

#include <doctest/doctest.h>

#include "firmware_sim/core/dose_controller.hpp"
#include "tests/conformance/paced_defects.hpp"
#include "tests/paced/altered.hpp"
#include "tests/paced/steady_line.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

constexpr int kLater = 300;  // frames into the run

/// A node whose nth frame, of these that `picks`, is followed or replaced by another.
World after(std::function<bool(const Frame&)> picks, std::function<Bytes(const Bytes&)> becomes) {
  World world;
  world.tamper = [picks, becomes, done = false](int n, Bytes bytes) mutable {
    if (done || n < kLater || !picks(Frame(bytes))) return bytes;
    done = true;
    return becomes(bytes);
  };
  return world;
}

bool is_taken(const Frame& frame) { return decode_taken(frame.payload()).has_value(); }
bool is_outputs(const Frame& frame) { return frame.outputs().has_value(); }
Bytes twice(const Bytes& bytes) { return joined({bytes, bytes}); }

void check_loss(const World& world, const std::string& words) {
  const std::string found = loss(world);
  CAPTURE(found);
  CAPTURE(words);
  CHECK(found.find(words) != std::string::npos);
}

}  // namespace

TEST_CASE("paced bench: a hello reply of another version or with another nonce is none") {
  const auto broken = paced_defects();
  check_loss(broken.at("hello"), "no answer to the hello");
  check_loss(broken.at("nonce"), "no answer to the hello");
}

TEST_CASE("paced bench: what comes twice or not at all is out of its order") {
  check_loss(after(is_taken, twice), "it took inputs");
  check_loss(after(is_outputs, twice), "came instead of");
  check_loss(after(is_outputs, [](const Bytes&) { return Bytes{}; }), "were lost");
  check_loss(after(is_taken, [](const Bytes&) { return Bytes{}; }), "instead of");
  check_loss(paced_defects().at("taken"), "outputs of it were lost");
}

TEST_CASE("paced bench: a clock that runs wrong or back is no clock") {
  check_loss(paced_defects().at("clock"), "its clock ran");
  check_loss(altered_taken([](TakenMessage& taken) { taken.received = taken.replied = Instant{5}; },
                           kLater),
             "its clock ran back");
  check_loss(
      altered_taken([](TakenMessage& taken) { taken.replied = taken.replied + 2_s; }, kLater),
      "held inputs longer than they were away");
  check_loss(altered_taken(
                 [](TakenMessage& taken) {
                   taken.received = taken.received + 20_ms;
                   taken.replied = taken.replied + 20_ms;
                 },
                 kLater),
             "its clock ran");
}

TEST_CASE("paced bench: outputs are due one after the other and here after their pins") {
  check_loss(paced_defects().at("outputs"), "came before they stood at the pins");
  check_loss(altered_outputs(
                 [](OutputsMessage&, Changes& changes) {
                   for (SignalChange& change : changes) change.at = change.at - 500_ms;
                 },
                 kLater),
             "due");
}

TEST_CASE("paced bench: outputs are real changes, in order, on output channels") {
  const auto with = [](SignalChange more) {
    return altered_outputs(
        [more](OutputsMessage&, Changes& changes) {
          changes.push_back({changes.front().at, more.channel, more.value});
        },
        kLater);
  };
  check_loss(with({{}, Channel::kValvePin, 1}), "which is no output");
  check_loss(with({{}, Channel::kValve, 1}), "out of order");
  check_loss(with({{}, static_cast<Channel>(0x20ff), 0}), "is no change");
}

TEST_CASE(
    "paced bench: a refusal, a goodbye and a message of lockstep end the run in their words") {
  const auto instead = [](const Bytes& frame) {
    return after(is_taken, [frame](const Bytes&) { return frame; });
  };
  check_loss(instead(framed(RefusedMessage{9, Refusal::kSequence})), "it refused");
  check_loss(instead(framed_goodbye()), "it said goodbye");
  check_loss(instead(framed(ReachedMessage{9, Instant{9}, {}})), "neither taken nor outputs");
}
