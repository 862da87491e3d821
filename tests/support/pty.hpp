#pragma once

#include <doctest/doctest.h>
#include <fcntl.h>
#include <pty.h>
#include <unistd.h>

#include <array>
#include <string>
#include <utility>

namespace rimebench::test {

/// A serial port without hardware: what a program writes to the device `name()` comes out of
/// `master()`, and back.
class Pty {
 public:
  Pty() {
    std::array<char, 128> name{};
    REQUIRE(::openpty(&master_, &slave_, name.data(), nullptr, nullptr) == 0);
    // A child that inherited the master would keep the line alive.
    for (const int end : {master_, slave_}) REQUIRE(::fcntl(end, F_SETFD, FD_CLOEXEC) == 0);
    // A fresh pty echoes.
    termios raw{};
    REQUIRE(::tcgetattr(slave_, &raw) == 0);
    ::cfmakeraw(&raw);
    REQUIRE(::tcsetattr(slave_, TCSANOW, &raw) == 0);
    name_ = name.data();
  }
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;
  ~Pty() {
    if (master_ >= 0) ::close(master_);
    ::close(slave_);
  }

  const std::string& name() const { return name_; }

  /// Hands the other end over.
  int take_master() { return std::exchange(master_, -1); }

 private:
  int master_{-1};
  int slave_{-1};  // held open: a device that no program has open looks unplugged
  std::string name_;
};

}  // namespace rimebench::test
