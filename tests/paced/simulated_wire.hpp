#pragma once

/// A link and two clocks made of nothing: a paced node on the other side of a link whose delays,
/// and a bench whose oversleeping, are whatever a test wants. No wall clock is read.

#include <algorithm>
#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "firmware_sim/port/paced_session.hpp"
#include "harness/link/byte_stream.hpp"
#include "harness/link/paced_node.hpp"
#include "tests/wire/bytes.hpp"

namespace rimebench::test {

/// How the simulated world behaves; counters count from 0.
struct World {
  std::function<Duration(int)> to_node = [](int) { return 50_us; };           ///< of the nth frame
  std::function<Duration(int)> to_bench = [](int) { return 50_us; };          ///< of the nth frame
  std::function<Duration(Instant)> oversleep = [](Instant) { return 0_us; };  ///< at that time
  /// What comes instead of the node's nth frame; it may be several, or nothing.
  std::function<Bytes(int, Bytes)> tamper = [](int, Bytes frame) { return frame; };
  /// What the node's program gets instead of a frame.
  std::function<Bytes(Bytes)> to_session = [](Bytes frame) { return frame; };
  /// What is answered instead of by that program, if anything.
  std::function<std::optional<Bytes>(const Bytes&)> answers = [](const Bytes&) {
    return std::optional<Bytes>{};
  };
  std::function<Bytes(const Bytes&)> cable_to_node = [](const Bytes& bytes) { return bytes; };
  std::function<Bytes(const Bytes&)> cable_to_bench = [](const Bytes& bytes) { return bytes; };
  Duration pins_take{};  ///< from the program to the pins
  Instant node_clock_at_start{1'000'000};
  std::int64_t node_fast_ppm{0};
  Duration late_max{5'000};  ///< the bench's budget
};

template <class Controller>
class SimulatedWire final : public PacedWire {
 public:
  explicit SimulatedWire(World world) : world_(std::move(world)) {}

  Instant now() override { return now_; }

  void send(std::span<const std::uint8_t> frame) override {
    const Instant comes = now_ + world_.to_node(sent_++);
    to_node_.push_back(
        {later(comes, last_to_node_), world_.cable_to_node({frame.begin(), frame.end()})});
    last_to_node_ = to_node_.back().at;
  }

  std::optional<std::span<const std::uint8_t>> receive(Instant until) override {
    while (true) {
      const Instant bytes_at = to_node_.empty() ? kNever : to_node_.front().at;
      const Instant frame_at = to_bench_.empty() ? kNever : to_bench_.front().at;
      const Instant node_at = earlier(bytes_at, true_time(session_.next_wake()));
      if (earlier(node_at, frame_at) > until) break;
      if (frame_at <= node_at) {
        const Flying frame = std::move(to_bench_.front());
        to_bench_.pop_front();
        now_ = later(now_, frame.at);
        if (const auto payload = payload_of(frame.bytes)) return payload;
        continue;
      }
      run_node(node_at, bytes_at <= node_at);
    }
    now_ = later(now_, until + world_.oversleep(until));
    return std::nullopt;
  }

  const std::string& name() const override { return name_; }

 private:
  struct Flying {
    Instant at;
    Bytes bytes;
  };
  struct Port {
    SimulatedWire* wire;
    Instant now() const { return wire->node_clock(wire->node_now_); }
    void send(std::span<const std::uint8_t> bytes) const { wire->from_node(bytes); }
    Instant drive(std::span<const SignalChange>) const {
      wire->node_now_ = wire->node_now_ + wire->world_.pins_take;
      return now();
    }
  };

  Instant node_clock(Instant at) const {
    return world_.node_clock_at_start +
           Duration{at.us + mul_div_floor(at.us, world_.node_fast_ppm, 1'000'000)};
  }
  /// The first moment at which the node's clock shows so much.
  Instant true_time(Instant node) const {
    if (node >= kNever) return kNever;
    const std::int64_t shown = node.us - world_.node_clock_at_start.us;
    Instant at{mul_div_floor(shown, 1'000'000, 1'000'000 + world_.node_fast_ppm) - 2};
    while (node_clock(at) < node) at = at + 1_us;
    return later(at, node_now_);
  }

  void run_node(Instant at, bool bytes) {
    node_now_ = later(node_now_, at);
    if (!bytes) return session_.on_time();
    const Bytes frame = std::move(to_node_.front().bytes);
    to_node_.pop_front();
    if (const auto answer = world_.answers(frame)) return from_node(*answer);
    for (const std::uint8_t byte : world_.to_session(frame)) session_.on_byte(byte);
  }

  void from_node(std::span<const std::uint8_t> bytes) {
    const Instant comes = node_now_ + world_.to_bench(answered_);
    const Bytes frames = world_.tamper(answered_++, {bytes.begin(), bytes.end()});
    for (auto begin = frames.begin(); begin != frames.end();) {
      const auto end = std::find(begin, frames.end(), kDelimiter);
      const auto behind = end == frames.end() ? end : end + 1;
      to_bench_.push_back({later(comes, last_to_bench_), world_.cable_to_bench({begin, behind})});
      last_to_bench_ = to_bench_.back().at;
      begin = behind;
    }
  }

  std::optional<std::span<const std::uint8_t>> payload_of(const Bytes& frame) {
    for (const std::uint8_t byte : frame) {
      const FrameEvent event = reader_.add(byte);
      if (event == FrameEvent::kFrame) return reader_.payload();
      if (event == FrameEvent::kBroken) {
        throw StreamError(StreamLoss::kFailed, "a frame arrived damaged");
      }
    }
    return std::nullopt;
  }

  World world_;
  std::string name_{"simulated"};
  Instant now_{};
  Instant node_now_{};
  std::deque<Flying> to_node_, to_bench_;
  Instant last_to_node_{}, last_to_bench_{};
  int sent_{}, answered_{};
  FrameReader reader_;
  Port port_{this};
  PacedSession<Controller, Port> session_{port_};
};

}  // namespace rimebench::test
