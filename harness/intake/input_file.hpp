#pragma once

#include <filesystem>
#include <fstream>

namespace rimebench {

/// A file of the user's, open for reading its bytes. Throws std::invalid_argument, with its name
/// and why, if it cannot be read.
std::ifstream open_input(const std::filesystem::path& file);

}  // namespace rimebench
