#pragma once

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "harness/intake/speed_intake.hpp"

namespace rimebench {

/// A log on disk for the length of a test.
class LogFile {
 public:
  explicit LogFile(std::string_view text)
      : path_(std::filesystem::temp_directory_path() /
              ("rimebench_intake_" + std::to_string(::getpid()) + "_" + std::to_string(++count_))) {
    std::ofstream(path_, std::ios::binary) << text;
  }
  ~LogFile() { std::filesystem::remove(path_); }
  LogFile(const LogFile&) = delete;
  LogFile& operator=(const LogFile&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  static inline int count_ = 0;
  std::filesystem::path path_;
};

struct TakenIn {
  SpeedIntake intake;
  std::vector<SpeedKnot> knots;

  bool asks(Choice choice) const {
    for (const Question& question : intake.form.questions) {
      if (question.choice == choice) return true;
    }
    return false;
  }
  /// The value decided, or "" if it was not.
  std::string decided(Choice choice) const {
    for (const Decision& decision : intake.form.decisions) {
      if (decision.choice == choice) return decision.value;
    }
    return "";
  }
  /// Rows under a reason that contains this text.
  std::int64_t tally(std::string_view what) const {
    for (const Tally& row : intake.tallies) {
      if (row.what.find(what) != std::string::npos) return row.count;
    }
    return 0;
  }
};

using Chosen = std::vector<std::pair<std::string, std::string>>;

inline TakenIn take_in(std::string_view text, const Chosen& chosen = {}) {
  const LogFile file(text);
  Choices choices;
  std::string problem;
  for (const auto& [key, value] : chosen) choices.set(key, value, problem);
  TakenIn taken;
  taken.intake = take_in_speed(file.path(), choices,
                               [&](const SpeedKnot& knot) { taken.knots.push_back(knot); });
  return taken;
}

}  // namespace rimebench
