#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "harness/config/diagnostic.hpp"
#include "harness/intake/choices.hpp"

namespace rimebench {

/// Reads choices from a YAML file of keys and plain values. Every mistake goes to `diagnostics`.
void read_choices(const std::filesystem::path& file, Choices& choices, Diagnostics& diagnostics);

/// The same as a file's text: what was chosen and what was decided, so that the next intake infers
/// nothing.
std::string choices_text(const std::string& log, const Choices& choices,
                         const std::vector<Decision>& decisions);

}  // namespace rimebench
