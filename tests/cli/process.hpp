#pragma once

#include <doctest/doctest.h>
#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "harness/trace/stream.hpp"

namespace rimebench {

/// How a program ended and what it said.
struct Ended {
  int code{};  ///< -1: it was killed
  std::string out;
  std::string err;
};

/// A program that was started in `folder`; killed if the test leaves it running.
class Process {
 public:
  Process(const std::filesystem::path& folder, std::vector<std::string> command)
      : errors_(std::tmpfile()) {
    std::array<int, 2> ends{};
    REQUIRE(errors_ != nullptr);
    REQUIRE(pipe2(ends.data(), O_CLOEXEC) == 0);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addchdir_np(&actions, folder.c_str());
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, fileno(errors_.get()), STDERR_FILENO);
    std::vector<char*> words;
    words.reserve(command.size() + 1);
    for (std::string& word : command) words.push_back(word.data());
    words.push_back(nullptr);
    REQUIRE(posix_spawn(&id_, words[0], &actions, nullptr, words.data(), environ) == 0);
    posix_spawn_file_actions_destroy(&actions);
    close(ends[1]);
    output_.reset(fdopen(ends[0], "r"));
  }
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  ~Process() {
    if (id_ != 0) static_cast<void>(kill());
  }

  /// The next line of its standard output, without the line's end; waits for it.
  std::string line() {
    std::string text;
    for (int c = std::getc(output_.get()); c != EOF && c != '\n'; c = std::getc(output_.get())) {
      text += static_cast<char>(c);
    }
    return text;
  }

  pid_t id() const { return id_; }

  Ended kill() {
    ::kill(id_, SIGKILL);
    return end();
  }

  /// Waits for its end.
  Ended end() {
    Ended ended{-1, rest_of(output_.get()), {}};
    int status = 0;
    REQUIRE(waitpid(std::exchange(id_, 0), &status, 0) > 0);
    if (WIFEXITED(status)) ended.code = WEXITSTATUS(status);
    std::rewind(errors_.get());
    ended.err = rest_of(errors_.get());
    return ended;
  }

 private:
  static std::string rest_of(std::FILE* stream) {
    std::string text;
    for (int c = std::getc(stream); c != EOF; c = std::getc(stream)) text += static_cast<char>(c);
    return text;
  }

  Stream errors_;
  Stream output_;
  pid_t id_{0};
};

/// The command with these words, as the shell would start it in `folder`.
inline std::vector<std::string> rimebench_command(std::vector<std::string> words) {
  words.insert(words.begin(), RIMEBENCH_COMMAND);
  return words;
}

inline Ended rimebench_in(const std::filesystem::path& folder, std::vector<std::string> words) {
  return Process(folder, rimebench_command(std::move(words))).end();
}

}  // namespace rimebench
