#pragma once

#include <string>

#include "harness/audit/audit.hpp"
#include "harness/config/scenario.hpp"

namespace rimebench {

/// What an audit was made from.
struct AuditContext {
  std::string file;
  std::string line;    ///< file, or the scenario's
  std::string recipe;  ///< file, or the scenario's
};

Outcome outcome_of(const AuditReport& report);
/// One sentence for people, with its figures.
std::string reason_text(const AuditReport& report, AuditReason reason);
const char* reason_key(AuditReason reason);
const char* name_of(Fault fault);

/// For the terminal.
std::string audit_text(const AuditReport& report, const AuditContext& context);
std::string audit_json(const AuditReport& report, const AuditContext& context);

/// Which of constant time and constant distance explains the delay, and how surely.
std::string law_sentence(const DelayLaw& law);

/// What the capture cannot tell, a sentence each.
std::vector<std::string> not_told(const AuditReport& report);

}  // namespace rimebench
