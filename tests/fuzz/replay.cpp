/// What fuzzers once found, and what they began with, in every build.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "tests/fuzz/targets.hpp"

using namespace rimebench;

namespace {

std::vector<std::filesystem::path> corpus_of(const std::string& target) {
  std::vector<std::filesystem::path> files;
  const std::filesystem::path folder = REPOSITORY_DIR "/tests/fuzz/corpus/" + target;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

std::vector<std::uint8_t> content_of(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  REQUIRE(stream);
  return {std::istreambuf_iterator<char>(stream), {}};
}

}  // namespace

TEST_CASE("fuzz: every file that a fuzzer began with or stumbled over is dealt with") {
  for (const fuzz::Target& target : fuzz::targets()) {
    const auto files = corpus_of(target.name);
    CAPTURE(target.name);
    CHECK(files.size() >= 3);
    for (const auto& file : files) {
      INFO(file.string());
      const auto bytes = content_of(file);
      target.run(bytes);
      // And cut short anywhere.
      for (std::size_t size = 0; size < bytes.size(); size += 1 + bytes.size() / 16) {
        target.run(fuzz::Input(bytes).first(size));
      }
    }
  }
}
