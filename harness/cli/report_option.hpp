#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace rimebench {

/// --report, the same for every command that has it.
inline void add_report(CLI::App* command, std::string& file) {
  command->add_option("--report", file, "one page to look at (HTML); FILE.json: its document alone")
      ->type_name("FILE");
}

}  // namespace rimebench
