#pragma once

/// The options of the commands that take in what a real line recorded.

#include <CLI/CLI.hpp>

#include "harness/cli/audit_command.hpp"
#include "harness/cli/capture_command.hpp"
#include "harness/cli/intake_command.hpp"

namespace rimebench {

/// Each adds its command, without a footer, and returns it.
CLI::App* add_intake_speed(CLI::App& intake, IntakeSpeedOptions& speed);
CLI::App* add_intake_capture(CLI::App& intake, IntakeCaptureOptions& capture);
CLI::App* add_audit(CLI::App& app, AuditOptions& audit);

}  // namespace rimebench
