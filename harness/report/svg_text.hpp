#pragma once

#include <string>

namespace rimebench {

/// The colours that every drawing shares.
inline constexpr const char* kPaper = "#fbfaf6";
inline constexpr const char* kInk = "#26303a";
inline constexpr const char* kSoft = "#74808c";
inline constexpr const char* kHair = "#e4e1d8";

/// A text as XML may hold it: markup escaped, characters that XML forbids replaced, and bytes that
/// are no UTF-8 too.
std::string svg_escaped(const std::string& text);

}  // namespace rimebench
