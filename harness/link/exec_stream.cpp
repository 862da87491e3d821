#include "harness/link/exec_stream.hpp"

#include <poll.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <utility>

namespace rimebench {

namespace {

using std::chrono::milliseconds;

constexpr milliseconds kClosePatience{300};
constexpr milliseconds kTermPatience{700};
constexpr milliseconds kLastWordsPatience{300};

[[noreturn]] void fail() { throw StreamError(StreamLoss::kFailed, std::strerror(errno)); }

/// False if nothing happened before the deadline.
bool wait_for(int descriptor, short event, Deadline deadline) {
  pollfd wanted{descriptor, event, 0};
  while (true) {
    const auto left = std::chrono::ceil<milliseconds>(deadline - std::chrono::steady_clock::now());
    if (left.count() <= 0) return false;
    const int ready = ::poll(&wanted, 1, static_cast<int>(left.count()));
    if (ready > 0) return true;
    if (ready < 0 && errno != EINTR) fail();
  }
}

/// Only calls that are safe between fork and exec.
[[noreturn]] void become(const char* command, int socket, pid_t bench) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != bench) ::_exit(127);  // the bench died before the line above
  ::dup2(socket, STDIN_FILENO);
  ::dup2(socket, STDOUT_FILENO);
  ::execl("/bin/sh", "sh", "-c", command, static_cast<char*>(nullptr));
  ::_exit(127);
}

class ExecStream final : public ByteStream {
 public:
  explicit ExecStream(const std::string& command) : name_("exec:" + command) {
    int ends[2];
    if (::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0) fail();
    socket_ = ends[0];
    // The shell becomes the command, so that there is one process and it is our child.
    const std::string words = "exec " + command;
    const pid_t bench = ::getpid();
    pid_ = ::fork();
    if (pid_ == 0) become(words.c_str(), ends[1], bench);
    ::close(ends[1]);
    if (pid_ > 0) return;
    ::close(socket_);
    throw StreamError(StreamLoss::kFailed, "no process to be had");
  }

  ~ExecStream() override {
    ::close(socket_);
    if (has_ended(kClosePatience)) return;
    ::kill(pid_, SIGTERM);
    if (has_ended(kTermPatience)) return;
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, &status_, 0);
  }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline deadline) override {
    if (!wait_for(socket_, POLLIN, deadline)) give_up();
    const ssize_t size = ::recv(socket_, buffer.data(), buffer.size(), 0);
    if (size == 0 || (size < 0 && errno == ECONNRESET)) tell_closed();
    if (size < 0) fail();
    return static_cast<std::size_t>(size);
  }

  void write(std::span<const std::uint8_t> bytes, Deadline deadline) override {
    while (!bytes.empty()) {
      if (!wait_for(socket_, POLLOUT, deadline)) give_up();
      const ssize_t size = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
      if (size < 0 && errno == EPIPE) tell_closed();
      if (size < 0 && errno != EAGAIN) fail();
      bytes = bytes.subspan(static_cast<std::size_t>(std::max<ssize_t>(size, 0)));
    }
  }

  const std::string& name() const override { return name_; }

 private:
  [[noreturn]] static void give_up() { throw StreamError(StreamLoss::kSilent, "it is silent"); }

  [[noreturn]] void tell_closed() {
    std::string what = "it closed the connection";
    if (has_ended(kLastWordsPatience)) {
      what += WIFSIGNALED(status_)
                  ? "; its process was ended by signal " + std::to_string(WTERMSIG(status_))
                  : "; its process ended with code " + std::to_string(WEXITSTATUS(status_));
    }
    throw StreamError(StreamLoss::kClosed, what);
  }

  /// After `patience` at the latest.
  bool has_ended(milliseconds patience) {
    if (ended_) return true;
    const int process = static_cast<int>(::syscall(SYS_pidfd_open, pid_, 0));
    if (process >= 0) {
      wait_for(process, POLLIN, deadline_in(patience));
      ::close(process);
    }
    ended_ = ::waitpid(pid_, &status_, WNOHANG) == pid_;
    return ended_;
  }

  std::string name_;
  int socket_{-1};
  pid_t pid_{};
  int status_{};
  bool ended_{};
};

}  // namespace

std::unique_ptr<ByteStream> start_node(const std::string& command) {
  return std::make_unique<ExecStream>(command);
}

}  // namespace rimebench
