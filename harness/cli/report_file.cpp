#include "harness/cli/report_file.hpp"

#include <ostream>

#include "harness/report/page.hpp"

namespace rimebench {

namespace {

bool is_page(const std::string& file) { return !file.ends_with(".json"); }

}  // namespace

std::string ReportFile::problem(const std::string& file) {
  if (file.empty() || !is_page(file)) return {};
  const std::string missing = page_missing();
  return missing.empty() ? missing : "--report: " + missing;
}

ReportFile::ReportFile(const std::string& file) : page_(is_page(file)), file_(file) {}

bool begin_report(const std::string& file, std::optional<ReportFile>& report, std::ostream& err) {
  const std::string problem = ReportFile::problem(file);
  if (!problem.empty()) err << "rimebench: " << problem << "\n";
  if (problem.empty() && !file.empty()) report.emplace(file);
  return problem.empty();
}

void ReportFile::write(const Document& document) {
  const std::string json = to_json(document);
  file_.write(page_ ? to_page(json) : json);
  file_.close();
}

}  // namespace rimebench
