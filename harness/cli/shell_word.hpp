#pragma once

#include <string>

namespace rimebench {

/// A word of a command as a shell reads it back.
std::string shell_word(const std::string& text);

}  // namespace rimebench
