#pragma once

#include <string>
#include <string_view>

namespace rimebench {

/// A text as XML 1.0 may hold it, in an element or an attribute: markup escaped, line ends and tabs
/// as references, and U+FFFD for what XML forbids (other control characters, U+FFFE, U+FFFF) and
/// for bytes that are no UTF-8.
std::string xml_text(std::string_view text);

}  // namespace rimebench
