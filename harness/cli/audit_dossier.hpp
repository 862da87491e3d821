#pragma once

#include <string>

#include "harness/cli/audit_text.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// An audit's report. `repeat` is the command that makes it again.
Document audit_dossier(const AuditReport& report, const AuditContext& context,
                       const std::string& repeat);

}  // namespace rimebench
