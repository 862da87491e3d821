#pragma once

/// A node behind a TCP connection, in lockstep. PROTOCOL.md in firmware_sim/wire has the bytes.

#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "firmware_sim/wire/message.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

struct TcpAddress {
  std::string host;
  std::uint16_t port{};
};

/// How long a node may take for one answer before the link counts as lost.
inline constexpr std::chrono::milliseconds kSilenceMax{10'000};

/// Connects and says hello; says goodbye when destroyed. A grant whose inputs exceed one frame
/// travels as several, each to a smaller instant, and comes back as one; where the node stops early
/// in one of them, that is how far the whole exchange came. The clock on the wall is used for one
/// thing: to give up on a silent node.
class TcpNode final : public Node {
 public:
  /// Throws LinkError if nobody answers there, or not in this protocol.
  explicit TcpNode(const TcpAddress& address, std::chrono::milliseconds silence_max = kSilenceMax);
  ~TcpNode() override;

  Reached exchange(const Grant& grant) override;

  /// The most changes the node takes in one frame. Fewer may fit: a frame is limited in bytes too.
  std::size_t capacity() const override { return capacity_; }

  /// What the node calls itself.
  const std::string& name() const { return name_; }

 private:
  void start_watch();
  void connect();
  void greet();
  ReachedMessage ask(const GrantMessage& grant);
  void check(const GrantMessage& grant, const ReachedMessage& reached) const;
  std::span<const std::uint8_t> receive_payload();
  void receive_bytes();
  void send(std::span<const std::uint8_t> bytes);
  template <class Start>
  void run_to_end(Start&& start);
  [[noreturn]] void lose(const std::string& what) const;

  TcpAddress address_;
  std::chrono::milliseconds silence_max_;
  std::chrono::steady_clock::time_point answer_due_;
  boost::asio::io_context io_;
  boost::asio::ip::tcp::socket socket_;
  std::array<std::uint8_t, 4096> received_{};
  std::span<const std::uint8_t> unread_;
  FrameReader reader_;
  FrameBuffer frame_{};
  ChangeBuffer changes_{};
  std::vector<SignalChange> outputs_;
  std::string name_;
  std::size_t capacity_{};
  std::uint16_t seq_{1};
  Instant reached_{};
};

}  // namespace rimebench
