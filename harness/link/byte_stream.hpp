#pragma once

/// What carries the link's bytes: a TCP or Unix socket, a serial line, the pipes of a child
/// process. Everything above it (frames, sessions, the battery for any node) is written once.

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

namespace rimebench {

/// On the wall: the one use of a clock in lockstep is to give up on a silent node.
using Deadline = std::chrono::steady_clock::time_point;

inline Deadline deadline_in(std::chrono::milliseconds patience) {
  return std::chrono::steady_clock::now() + patience;
}

/// How long a node may take for one answer before the link counts as lost.
inline constexpr std::chrono::milliseconds kSilenceMax{10'000};

enum class StreamLoss : std::uint8_t {
  kSilent,  ///< nothing came, or nothing could be sent, before the deadline; the stream is still
            ///< open
  kClosed,  ///< the other end is gone
  kFailed,  ///< the system says why in the message
};

class StreamError : public std::runtime_error {
 public:
  StreamError(StreamLoss loss, const std::string& what) : std::runtime_error(what), loss_(loss) {}
  StreamLoss loss() const { return loss_; }

 private:
  StreamLoss loss_;
};

/// One open connection to one node; closed when destroyed. Not thread-safe.
class ByteStream {
 public:
  ByteStream() = default;
  ByteStream(const ByteStream&) = delete;
  ByteStream& operator=(const ByteStream&) = delete;
  virtual ~ByteStream() = default;

  /// Waits for at least one byte and returns how many lie in `buffer`. Throws StreamError.
  virtual std::size_t read(std::span<std::uint8_t> buffer, Deadline deadline) = 0;

  /// Sends them all. Throws StreamError.
  virtual void write(std::span<const std::uint8_t> bytes, Deadline deadline) = 0;

  /// As in `--node`, for messages: "tcp:127.0.0.1:7000".
  virtual const std::string& name() const = 0;

  /// Nothing of an earlier session can arrive on it. Not so on a serial line, which has no
  /// beginning.
  virtual bool starts_empty() const { return true; }
};

/// What a stream with bytes in hand reads: moves the first of them, as many as it takes, to
/// `buffer` and returns how many.
inline std::size_t take_first(std::vector<std::uint8_t>& bytes, std::span<std::uint8_t> buffer) {
  const std::size_t size = std::min(buffer.size(), bytes.size());
  const auto end = bytes.begin() + static_cast<std::ptrdiff_t>(size);
  std::copy(bytes.begin(), end, buffer.begin());
  bytes.erase(bytes.begin(), end);
  return size;
}

}  // namespace rimebench
