#pragma once

#include "harness/config/scenario.hpp"

namespace rimebench {

/// What the shell is told. README.md has the table.
enum class ExitCode : int {
  kPass = 0,
  kFail = 1,
  kInconclusive = 2,
  kBadInput = 3,
  kInternal = 4,
};

constexpr int number(ExitCode code) { return static_cast<int>(code); }

constexpr ExitCode exit_code(Outcome outcome) {
  switch (outcome) {
    case Outcome::kPass:
      return ExitCode::kPass;
    case Outcome::kFail:
      return ExitCode::kFail;
    case Outcome::kInconclusive:
      return ExitCode::kInconclusive;
  }
  return ExitCode::kInternal;
}

}  // namespace rimebench
