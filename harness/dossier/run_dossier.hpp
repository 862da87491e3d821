#pragma once

/// A run's report: its verdict, its containers, and all that an engineer puts into a commissioning
/// record beside them.

#include <string>

#include "harness/dossier/run_log.hpp"
#include "harness/judge/verdict.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// `repeat` is the command that runs it again. The log has heard the whole run.
Document run_dossier(const Scenario& scenario, const Verdict& verdict, RunLog& log,
                     const std::string& repeat);

}  // namespace rimebench
