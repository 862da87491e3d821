#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "harness/config/diagnostic.hpp"

namespace rimebench {

/// A place in one of the files of a scenario; which one is a number that Findings gives out.
struct Mark {
  int file{-1};
  int line{};
  int column{};
};

/// The files that make up one scenario, and the mistakes found in them.
class Findings {
 public:
  /// Makes a file known under the name that diagnostics show; the same name gives the same number.
  int add_file(const std::string& name);
  const std::string& file_name(int file) const { return files_[static_cast<std::size_t>(file)]; }

  void add(const Mark& mark, std::string key, std::string problem);
  bool empty() const { return diagnostics_.empty(); }

  /// All mistakes: files in the order they were met, inside a file from top to bottom.
  Diagnostics in_order() const;

 private:
  struct Finding {
    Mark mark;
    Diagnostic diagnostic;
  };
  std::vector<std::string> files_;
  std::vector<Finding> diagnostics_;
};

}  // namespace rimebench
