#pragma once

namespace rimebench {

/// Called when an internal check fails: a bug of ours, not the plant's doing nor a user's mistake.
/// mistake. Each program supplies its own: the bench prints and exits "internal", a node closes the
/// valve first.
[[noreturn]] void panic(const char* file, int line) noexcept;

}  // namespace rimebench

/// An internal check that is always armed. The expression is not stored, to keep text out of the
/// image.
#define DEMAND(condition) \
  ((condition) ? static_cast<void>(0) : ::rimebench::panic(__FILE_NAME__, __LINE__))
