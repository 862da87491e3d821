#include <optional>

#include "firmware_sim/units/demand.hpp"
#include "harness/link/framed_node.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::fuzz {

namespace {

/// A node that answers whatever the input says: the first hello well, if the first byte is even.
class Stranger final : public ByteStream {
 public:
  explicit Stranger(Input bytes) : pieces_(bytes), polite_(pieces_.byte() % 2 == 0) {}

  void write(std::span<const std::uint8_t> bytes, Deadline) override {
    FrameReader reader;
    test::feed(reader, bytes);
    const auto hello = decode_hello(reader.payload());
    if (hello && polite_) {
      FrameBuffer frame;
      const auto reply = encode(HelloReplyMessage{kProtocolVersion, hello->nonce, 128, {}}, frame);
      answer_.assign(reply.begin(), reply.end());
      polite_ = false;
    }
  }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline) override {
    while (answer_.empty()) {
      if (pieces_.done()) throw StreamError(StreamLoss::kSilent, "silent");
      answer_ = next_on_the_wire(pieces_);
    }
    const std::size_t size = std::min(buffer.size(), answer_.size());
    const auto end = answer_.begin() + static_cast<std::ptrdiff_t>(size);
    std::copy(answer_.begin(), end, buffer.begin());
    answer_.erase(answer_.begin(), end);
    return size;
  }

  const std::string& name() const override { return name_; }

 private:
  Pieces pieces_;
  bool polite_;
  test::Bytes answer_;
  std::string name_{"stranger"};
};

}  // namespace

/// Whatever a node says, the bench believes only what can be true, and ends.
void messages_bench_side(Input bytes) {
  constexpr std::int64_t kStepUs = 1'000;
  std::optional<Instant> last;
  try {
    FramedNode node(std::make_unique<Stranger>(bytes));
    last = Instant{};
    std::vector<SignalChange> inputs;
    for (std::int64_t at = 0; at < 300; ++at) {
      inputs.push_back({Instant{at}, Channel::kLinePulse, static_cast<std::int32_t>(at % 2)});
    }
    while (true) {
      std::erase_if(inputs, [&](const SignalChange& change) { return change.at < *last; });
      const Instant until = *last + Duration{kStepUs};
      const Reached reached = node.exchange({until, Duration{kStepUs / 2}, inputs});
      DEMAND(reached.at > *last && reached.at <= until);
      for (const SignalChange& output : reached.outputs) {
        DEMAND(output.at >= *last && output.at < reached.at);
        DEMAND(class_of(output.channel) == ChannelClass::kFromController);
      }
      last = reached.at;
    }
  } catch (const LinkError& error) {
    DEMAND(error.last_good() >= last.value_or(Instant{}));
  }
}

}  // namespace rimebench::fuzz
