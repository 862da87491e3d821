#pragma once

#include <string>
#include <vector>

#include "harness/campaign/suite_text.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// A suite's report: every scenario against its claim and its record.
Document suite_dossier(const std::vector<SuiteRun>& runs, const SuiteView& view,
                       const std::string& repeat);

}  // namespace rimebench
