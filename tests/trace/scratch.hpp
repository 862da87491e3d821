#pragma once

#include <doctest/doctest.h>
#include <stdlib.h>

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "harness/trace/trace_error.hpp"

namespace rimebench {

/// A folder of its own for one test, gone with it.
class Scratch {
 public:
  Scratch() {
    std::string name = (std::filesystem::temp_directory_path() / "rimebench_XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    folder_ = name;
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
  }

  std::filesystem::path operator/(const char* name) const { return folder_ / name; }

 private:
  std::filesystem::path folder_;
};

inline std::string content_of(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  REQUIRE(stream.good());
  return {std::istreambuf_iterator<char>(stream), {}};
}

inline void put_content(const std::filesystem::path& file, const std::string& content) {
  std::ofstream(file, std::ios::binary) << content;
}

/// The text of the TraceError that `action` ends in; empty where it ends well.
template <class Action>
std::string error_of(Action action) {
  try {
    action();
  } catch (const TraceError& error) {
    return error.what();
  }
  return {};
}

}  // namespace rimebench
