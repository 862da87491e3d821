#include "harness/link/exec_stream.hpp"

#include <doctest/doctest.h>
#include <signal.h>

#include <array>
#include <cerrno>
#include <string>

using namespace rimebench;

namespace {

constexpr std::chrono::milliseconds kSoon{50};

/// All that comes up to a line's end.
std::string line_of(ByteStream& stream) {
  std::string line;
  std::array<std::uint8_t, 1> byte{};
  while (stream.read(byte, deadline_in(kSilenceMax)) == 1 && byte[0] != '\n') {
    line += static_cast<char>(byte[0]);
  }
  return line;
}

/// How a stream that nothing comes from says so.
std::string end_of(const std::string& command) {
  const auto stream = start_node(command);
  try {
    line_of(*stream);
  } catch (const StreamError& error) {
    CHECK(error.loss() == StreamLoss::kClosed);
    return error.what();
  }
  return "a line";
}

}  // namespace

TEST_CASE("exec: a node that the bench starts hears it on standard input and answers on output") {
  const auto stream = start_node("cat");
  CHECK(stream->name() == "exec:cat");
  CHECK(stream->starts_empty());
  const std::array<std::uint8_t, 3> sent{'h', 'i', '\n'};
  stream->write(sent, deadline_in(kSilenceMax));
  CHECK(line_of(*stream) == "hi");
}

TEST_CASE("exec: the words of the command are the shell's") {
  const auto stream = start_node("printf '%s\\n' 'two words'");
  CHECK(line_of(*stream) == "two words");
}

TEST_CASE("exec: a node whose process ends is lost, and the bench says how it ended") {
  CHECK(end_of("sh -c 'exit 3'") == "it closed the connection; its process ended with code 3");
  CHECK(end_of("sh -c 'kill -9 $$'") ==
        "it closed the connection; its process was ended by signal 9");
  CHECK(end_of("/nowhere/at/all 2>/dev/null") ==
        "it closed the connection; its process ended with code 127");
}

TEST_CASE("exec: a node that says nothing is silent, not gone") {
  const auto stream = start_node("cat");
  try {
    std::array<std::uint8_t, 1> byte{};
    stream->read(byte, deadline_in(kSoon));
    FAIL("it spoke");
  } catch (const StreamError& error) {
    CHECK(error.loss() == StreamLoss::kSilent);
  }
}

TEST_CASE("exec: a node that does not read is silent once its pipe is full") {
  const auto stream = start_node("tail -f /dev/null");
  const std::array<std::uint8_t, 4096> much{};
  CHECK_THROWS_AS(for (int i = 0; i < 10'000; ++i) stream->write(much, deadline_in(kSoon)),
                  StreamError);
}

TEST_CASE("exec: a node that neither sees the end nor obeys is killed") {
  auto stream = start_node("sh -c 'trap \"\" TERM; echo $$; exec tail -f /dev/null'");
  const pid_t process = std::stoi(line_of(*stream));
  REQUIRE(kill(process, 0) == 0);
  stream.reset();
  CHECK(kill(process, 0) == -1);
  CHECK(errno == ESRCH);
}
