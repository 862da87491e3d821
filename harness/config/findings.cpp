#include "harness/config/findings.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

namespace rimebench {

int Findings::add_file(const std::string& name) {
  const auto known = std::find(files_.begin(), files_.end(), name);
  if (known != files_.end()) return static_cast<int>(known - files_.begin());
  files_.push_back(name);
  return static_cast<int>(files_.size()) - 1;
}

void Findings::add(const Mark& mark, std::string key, std::string problem) {
  Where where{file_name(mark.file), mark.line, mark.column, std::move(key)};
  diagnostics_.push_back({mark, {std::move(where), std::move(problem)}});
}

Diagnostics Findings::in_order() const {
  std::vector<Finding> sorted = diagnostics_;
  std::stable_sort(sorted.begin(), sorted.end(), [](const Finding& a, const Finding& b) {
    return std::tie(a.mark.file, a.mark.line, a.mark.column) <
           std::tie(b.mark.file, b.mark.line, b.mark.column);
  });
  Diagnostics all;
  for (Finding& finding : sorted) all.push_back(std::move(finding.diagnostic));
  return all;
}

}  // namespace rimebench
