#include "harness/cli/check_command.hpp"

#include <ostream>

#include "harness/cli/scenario_files.hpp"

namespace rimebench {

ExitCode check_command(const CheckOptions& options, std::ostream& out, std::ostream& err) {
  if (options.keys) {
    out << describe_keys();
    return ExitCode::kPass;
  }
  if (options.files.empty()) {
    err << "rimebench: check: name at least one scenario file, or --keys\n";
    return ExitCode::kBadInput;
  }
  const auto scenarios = load_scenarios(options.files, {}, err);
  if (!scenarios) return ExitCode::kBadInput;
  for (std::size_t i = 0; i < scenarios->size(); ++i) {
    out << options.files[i] << ": " << (*scenarios)[i].title << ": valid\n";
  }
  return ExitCode::kPass;
}

}  // namespace rimebench
