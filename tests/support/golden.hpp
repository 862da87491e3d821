#pragma once

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>

/// Text as it was when somebody last read it: tests/golden/FILE. tools/golden writes the files
/// anew; read the difference before you commit it.
namespace rimebench {

inline std::string golden_path(const std::string& file) {
  return std::string(REPOSITORY_DIR "/tests/golden/") + file;
}

inline std::string golden_text(const std::string& file, const std::string& text) {
  // NOLINTNEXTLINE(concurrency-mt-unsafe): a test program has one thread
  if (std::getenv("RIMEBENCH_WRITE_GOLDEN") != nullptr) {
    std::ofstream(golden_path(file), std::ios::binary) << text;
  }
  std::ifstream stream(golden_path(file), std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

}  // namespace rimebench

#define CHECK_GOLDEN(file, text) CHECK((text) == rimebench::golden_text(file, text))
