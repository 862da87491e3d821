#pragma once

/// A small scenario in files of its own, to be spoilt: scenario.yaml, can.yaml, line.yaml,
/// queued.yaml.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "harness/config/load.hpp"

namespace rimebench {

/// What is wrong, one text a mistake.
using Texts = std::vector<std::string>;

class Fixture {
 public:
  Fixture();
  ~Fixture();
  Fixture(const Fixture&) = delete;
  Fixture& operator=(const Fixture&) = delete;

  void write(const std::string& file, const std::string& text);
  /// Replaces text that must occur.
  void edit(const std::string& file, const std::string& from, const std::string& to);
  /// scenario.yaml becomes the one with the queued inline line.
  void use_queued_line();

  std::optional<Scenario> load(const std::string& file = "scenario.yaml",
                               const ScenarioOverrides& overrides = {});
  /// What is wrong, as text, with the fixture's own folder left out of the file names.
  Texts problems(const std::string& file = "scenario.yaml");

 private:
  std::string text_of(const std::string& file) const;
  std::string folder_;
};

}  // namespace rimebench

template <>
struct doctest::StringMaker<rimebench::Texts> {
  static String convert(const rimebench::Texts& texts) {
    std::string all;
    for (const std::string& text : texts) all += '\n' + text;
    return all.c_str();
  }
};
