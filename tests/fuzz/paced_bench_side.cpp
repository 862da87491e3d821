#include <deque>
#include <optional>

#include "firmware_sim/units/demand.hpp"
#include "harness/config/load.hpp"
#include "harness/link/byte_stream.hpp"
#include "harness/session/paced.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::fuzz {

namespace {

/// A node that answers whatever the input says, whenever it says so, on a clock of its own: a hello
/// and stamps well, as long as the choice is even.
class Stranger final : public PacedWire {
 public:
  explicit Stranger(Input bytes) : pieces_(bytes) {}

  Instant now() override { return now_; }

  void send(std::span<const std::uint8_t> bytes) override {
    FrameReader reader;
    test::feed(reader, bytes);
    if (const auto hello = decode_hello(reader.payload())) nonce_ = hello->nonce;
    if (const auto inputs = decode_inputs(reader.payload(), changes_)) sent_.push_back(inputs->seq);
  }

  std::optional<std::span<const std::uint8_t>> receive(Instant until) override {
    if (pieces_.done()) {
      now_ = later(now_, until);
      return std::nullopt;
    }
    const std::uint8_t choice = pieces_.byte();
    now_ = now_ + Duration{choice};
    FrameBuffer frame;
    if (nonce_) {
      const HelloReplyMessage reply{kProtocolVersion, *nonce_, 128, {}};
      nonce_.reset();
      return arrived(encode(reply, frame));
    }
    if (choice % 2 == 0) {
      if (sent_.empty()) return std::nullopt;
      const Instant node = now_ + 1_ms;
      const std::uint16_t seq = sent_.front();
      sent_.pop_front();
      return arrived(encode(TakenMessage{seq, node, node, outputs_}, frame));
    }
    const auto bytes = next_on_the_wire(pieces_);
    const auto payload = arrived(bytes);
    if (payload && decode_outputs(*payload, changes_)) ++outputs_;
    return payload;
  }

  const std::string& name() const override { return name_; }

 private:
  std::optional<std::span<const std::uint8_t>> arrived(std::span<const std::uint8_t> bytes) {
    for (const std::uint8_t byte : bytes) {
      const FrameEvent event = reader_.add(byte);
      if (event == FrameEvent::kFrame) return reader_.payload();
      if (event == FrameEvent::kBroken) {
        throw StreamError(StreamLoss::kFailed, "a frame arrived damaged");
      }
    }
    return std::nullopt;
  }

  Pieces pieces_;
  FrameReader reader_;
  ChangeBuffer changes_{};
  std::optional<std::uint32_t> nonce_;
  std::deque<std::uint16_t> sent_;
  std::uint16_t outputs_{};
  Instant now_{};
  std::string name_{"stranger"};
};

/// The stream of a run, as every reader of it expects it.
class Canonical final : public RunSink {
 public:
  void on_change(const SignalChange& change) override {
    DEMAND(!last_ || canonical_before(*last_, change));
    last_ = change;
  }
  void on_row(const LedgerRow&) override {}

 private:
  std::optional<SignalChange> last_;
};

const Scenario& scenario() {
  static const std::optional<Scenario> loaded = [] {
    Diagnostics diagnostics;
    return load_scenario(REPOSITORY_DIR "/config/scenarios/rotary_steady.yaml", {}, diagnostics);
  }();
  DEMAND(loaded.has_value());
  return *loaded;
}

}  // namespace

/// Whatever a paced node says, the bench keeps a stream in order, believes only stamps that can be
/// true, and ends.
void paced_bench_side(Input bytes) {
  PacedResult result;
  try {
    PacedNode node(std::make_unique<Stranger>(bytes));
    Canonical sink;
    run_paced(scenario().plant, node, {}, sink, result);
    DEMAND(false);  // the input ends before the line has run empty
  } catch (const LinkError& error) {
    DEMAND(error.last_good() == result.end);
  }
}

}  // namespace rimebench::fuzz
