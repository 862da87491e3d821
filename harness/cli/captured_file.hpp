#pragma once

#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "harness/audit/captured_line.hpp"
#include "harness/intake/capture.hpp"

namespace rimebench {

/// What --wire and --debounce-us say; nullopt after telling `err` of every mistake.
std::optional<CaptureOptions> capture_options(const std::vector<std::string>& wires,
                                              std::int64_t debounce_us, std::ostream& err);

/// A whole capture in memory: a trace, or what `intake capture` reads. Throws as they do.
CapturedLine load_captured_line(const std::string& file, const CaptureOptions& options);

}  // namespace rimebench
