#pragma once

#include <nlohmann/json.hpp>

#include "tests/cli/process.hpp"
#include "tests/trace/scratch.hpp"

namespace rimebench {

inline std::string scenario_of_demo(const std::string& name) {
  return REPOSITORY_DIR "/config/scenarios/" + name + ".yaml";
}

/// A folder of its own with a scenario of a minute, short.yaml, and the command in it.
class Desk {
 public:
  Desk() {
    put_content(folder_ / "short.yaml", "from: " + scenario_of_demo("rotary_steady") +
                                            "\ntitle: short\nfeed_us: 60000000\n"
                                            "expect: {containers_min: 200}\n");
  }

  /// The short scenario with these keys over its own.
  void put(const char* file, const std::string& keys) const {
    put_content(folder_ / file, "from: short.yaml\n" + keys);
  }

  Ended run(std::vector<std::string> words) const {
    return rimebench_in(folder_ / ".", std::move(words));
  }
  /// The JSON of a run of this scenario.
  nlohmann::json judged(std::vector<std::string> words) const {
    words.insert(words.begin(), "run");
    words.insert(words.end(), {"--json", "-"});
    return nlohmann::json::parse(run(std::move(words)).out);
  }

  std::filesystem::path operator/(const char* name) const { return folder_ / name; }
  bool has(const char* name) const { return std::filesystem::exists(folder_ / name); }

 private:
  Scratch folder_;
};

inline bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

}  // namespace rimebench
