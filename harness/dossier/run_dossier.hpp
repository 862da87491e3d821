#pragma once

/// A run's report: its verdict, its containers, and all that an engineer puts into a commissioning
/// record beside them.

#include <string>

#include "harness/dossier/container_log.hpp"
#include "harness/judge/verdict.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// `repeat` is the command that runs it again. Takes what the log has kept.
Document run_dossier(const Scenario& scenario, const Verdict& verdict, ContainerLog& log,
                     const std::string& repeat);

}  // namespace rimebench
