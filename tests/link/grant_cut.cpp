#include "harness/link/grant_cut.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "firmware_sim/wire/message.hpp"

using namespace rimebench;

namespace {

SignalChange pulse(std::int64_t at_us) { return {Instant{at_us}, Channel::kLinePulse, 1}; }

}  // namespace

TEST_CASE("link: what fits one frame travels in one, inputs past its end stay behind") {
  const std::vector<SignalChange> inputs{pulse(10), pulse(20), pulse(30)};
  const GrantPiece piece = cut_grant(inputs, Instant{30}, 128);
  CHECK(piece.until == Instant{30});
  CHECK(piece.inputs.size() == 2);
}

TEST_CASE("link: a frame with more inputs than the node takes ends before the first that is left") {
  std::vector<SignalChange> inputs;
  for (int i = 0; i < 200; ++i) inputs.push_back(pulse(10 * i));
  const GrantPiece piece = cut_grant(inputs, Instant{9'999}, 128);
  CHECK(piece.inputs.size() == 128);
  CHECK(piece.until == Instant{1'280});
}

TEST_CASE("link: a cut never parts the inputs of one instant") {
  std::vector<SignalChange> inputs;
  for (int i = 0; i < 100; ++i) {
    inputs.push_back({Instant{10 * i}, Channel::kContainerSensor, 1});
    inputs.push_back({Instant{10 * i}, Channel::kLinePulse, 1});
    inputs.push_back({Instant{10 * i}, Channel::kRunPermit, 1});
  }
  const GrantPiece piece = cut_grant(inputs, Instant{9'999}, 128);
  CHECK(piece.inputs.size() == 126);
  CHECK(piece.until == Instant{420});
}

TEST_CASE("link: a frame limited by its bytes is as full as can be, and no fuller") {
  std::vector<SignalChange> inputs;
  for (int i = 0; i < 300; ++i) {
    inputs.push_back({Instant{1'000 * i}, Channel::kSupplyPressure, INT32_MAX - i});
  }
  const GrantPiece piece = cut_grant(inputs, kLastInstant, 681);
  std::size_t bytes = kGrantHeadMax;
  Instant previous{};
  for (const SignalChange& change : piece.inputs) {
    bytes += change_size(previous, change);
    previous = change.at;
  }
  CHECK(bytes <= kPayloadMax);
  CHECK(bytes + 8 > kPayloadMax);
  FrameBuffer frame;
  encode(GrantMessage{65535, piece.until, Duration{kLastInstant.us - 1}, piece.inputs}, frame);
}

TEST_CASE("link: a whole recipe at one instant, at its longest, travels in one frame") {
  std::vector<SignalChange> inputs;
  for (int i = 0; i < kParameterSlots; ++i) {
    inputs.push_back({kLastInstant - 1_us, recipe_channel(i), INT32_MIN});
  }
  inputs.push_back({kLastInstant - 1_us, Channel::kRecipeCommit, INT32_MIN});
  const GrantPiece piece = cut_grant(inputs, kLastInstant, kCapacityMin);
  CHECK(piece.inputs.size() == inputs.size());
  CHECK(piece.until == kLastInstant);
}
