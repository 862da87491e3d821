#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "harness/cli/exit_code.hpp"

namespace rimebench {

struct IntakeSpeedOptions {
  std::string file;                  ///< the log
  std::vector<std::string> choices;  ///< KEY=VALUE
  std::string profile;               ///< FILE for the profile; empty for none
  std::string choices_file;          ///< FILE for all choices, made and inferred; empty for none
  std::string json;                  ///< FILE or -
  std::string svg;                   ///< FILE
  bool keys{false};                  ///< list the choices, read nothing
};

/// `rimebench intake speed`: a log as loggers write it becomes a profile that a scenario takes
/// under speed: {log: FILE}. Choices are taken from LOG.choices.yaml where there is one, then from
/// the options. Bad input while a question is left; nothing is written then.
ExitCode intake_speed_command(const IntakeSpeedOptions& options, std::ostream& out,
                              std::ostream& err);

}  // namespace rimebench
