#include "harness/intake/input_file.hpp"

#include <cerrno>
#include <cstring>
#include <stdexcept>

namespace rimebench {

std::ifstream open_input(const std::filesystem::path& file) {
  std::error_code ignored;
  if (std::filesystem::is_directory(file, ignored)) {
    throw std::invalid_argument(file.string() + ": a folder, not a file");
  }
  std::ifstream stream(file, std::ios::binary);
  if (!stream) throw std::invalid_argument(file.string() + ": " + std::strerror(errno));
  return stream;
}

}  // namespace rimebench
