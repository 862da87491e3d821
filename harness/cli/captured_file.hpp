#pragma once

#include <string>

#include "harness/audit/captured_line.hpp"
#include "harness/intake/capture.hpp"

namespace rimebench {

/// A whole capture in memory: a trace, or what `intake capture` reads. Throws as they do.
CapturedLine load_captured_line(const std::string& file, const CaptureOptions& options);

}  // namespace rimebench
