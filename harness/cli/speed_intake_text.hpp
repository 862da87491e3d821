#pragma once

#include <string>

#include "harness/intake/speed_intake.hpp"
#include "harness/report/series_picture.hpp"

namespace rimebench {

/// What was read, decided and left out, with a small plot.
std::string to_terminal(const SpeedIntake& intake, const std::string& file);
/// The same for programs.
std::string to_json(const SpeedIntake& intake, const std::string& file);
SeriesPicture speed_picture(const SpeedIntake& intake, const std::string& file);
/// Each question with the options that answer it.
std::string questions_text(const SpeedIntake& intake, const std::string& file);

}  // namespace rimebench
