#pragma once

#include <iosfwd>
#include <optional>
#include <string>

#include "harness/report/document.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

/// The file that --report names: a page, or where it ends in .json the document alone.
class ReportFile {
 public:
  /// Why this file cannot become a report, in one line; empty if it can, or if it has no name.
  /// Nothing is written.
  static std::string problem(const std::string& file);

  /// Begins the file, so that one that cannot be written is known before anything runs.
  explicit ReportFile(const std::string& file);
  void write(const Document& document);

 private:
  bool page_;
  OutputFile file_;
};

/// Begins a report where one is asked for; false, and why on `err`, if it cannot be one.
bool begin_report(const std::string& file, std::optional<ReportFile>& report, std::ostream& err);

}  // namespace rimebench
