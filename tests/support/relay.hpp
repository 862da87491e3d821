#pragma once

/// A cable between two file descriptors that a test can count on, cut, or make slow: pumps bytes
/// from each to the other in a thread of its own.

#include <poll.h>
#include <signal.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <thread>
#include <utility>

namespace rimebench::test {

/// What happens as the byte of this number, from 0, is about to go from the node to the bench.
struct RelayEvent {
  std::uint64_t at_byte{UINT64_MAX};
  std::function<void()> action{};
  bool cuts{false};             ///< no byte passes any more, and both ends are closed
  std::uint64_t slow_bytes{0};  ///< so many from there on come a millisecond apart
};

class Relay {
 public:
  /// Takes both descriptors over.
  Relay(int bench, int node, RelayEvent event = {})
      : bench_(bench), node_(node), event_(std::move(event)) {
    ::signal(SIGPIPE, SIG_IGN);  // an end that is gone is noticed by write
    thread_ = std::thread([this] { pump(); });
  }
  Relay(const Relay&) = delete;
  Relay& operator=(const Relay&) = delete;
  ~Relay() { end(); }

  /// Closes both ends.
  void end() {
    if (!thread_.joinable()) return;
    const std::uint64_t one = 1;
    static_cast<void>(!::write(stop_, &one, sizeof one));
    thread_.join();
    ::close(stop_);
  }

  /// Bytes that came from the node; to be asked after end().
  std::uint64_t from_node() const { return from_node_; }

 private:
  static constexpr int kOneMillisecond = 1;

  void pump() {
    std::array<pollfd, 3> ends{{{bench_, POLLIN, 0}, {node_, POLLIN, 0}, {stop_, POLLIN, 0}}};
    while (!over_) {
      if (::poll(ends.data(), ends.size(), -1) < 0 || ends[2].revents != 0) break;
      if (ends[0].revents != 0) forward_from_bench();
      if (!over_ && ends[1].revents != 0) forward_from_node();
    }
    ::close(bench_);
    ::close(node_);
  }

  void forward_from_bench() {
    const ssize_t size = ::read(bench_, buffer_.data(), buffer_.size());
    if (size <= 0) over_ = true;
    if (size > 0) send(node_, {buffer_.data(), static_cast<std::size_t>(size)});
  }

  void forward_from_node() {
    const ssize_t size = ::read(node_, buffer_.data(), buffer_.size());
    if (size <= 0) over_ = true;
    for (ssize_t i = 0; i < size && !over_; ++i) {
      if (from_node_ == event_.at_byte) happen();
      if (over_) return;
      ++from_node_;
      const bool slow = slow_left_ > 0;
      if (slow) static_cast<void>(::poll(nullptr, 0, kOneMillisecond));
      if (slow) --slow_left_;
      if (slow || from_node_ == event_.at_byte || i + 1 == size) {
        send(bench_, {buffer_.data() + sent_, static_cast<std::size_t>(i + 1) - sent_});
        sent_ = static_cast<std::size_t>(i + 1);
      }
    }
    sent_ = 0;
  }

  void happen() {
    if (event_.action) event_.action();
    over_ = event_.cuts;
    slow_left_ = event_.slow_bytes;
  }

  void send(int to, std::span<const std::uint8_t> bytes) {
    while (!bytes.empty() && !over_) {
      const ssize_t size = ::write(to, bytes.data(), bytes.size());
      if (size < 0) over_ = true;
      if (size > 0) bytes = bytes.subspan(static_cast<std::size_t>(size));
    }
  }

  int bench_;
  int node_;
  RelayEvent event_;
  int stop_{::eventfd(0, EFD_CLOEXEC)};
  std::array<std::uint8_t, 4096> buffer_{};
  std::size_t sent_{};
  std::uint64_t from_node_{};
  bool over_{false};
  std::uint64_t slow_left_{0};
  std::thread thread_;
};

}  // namespace rimebench::test
