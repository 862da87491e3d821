#pragma once

namespace rimebench {

/// The colours that every drawing shares.
inline constexpr const char* kPaper = "#fbfaf6";
inline constexpr const char* kInk = "#26303a";
inline constexpr const char* kSoft = "#74808c";
inline constexpr const char* kHair = "#e4e1d8";

}  // namespace rimebench
