#include "harness/cli/progress.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ostream>

namespace rimebench {

namespace {

/// What is over sooner needs no line.
constexpr double kQuiet_s = 1.0;
constexpr double kBetween_s = 0.2;
constexpr const char* kClearLine = "\r\033[K";

}  // namespace

std::string progress_text(double share, double changes_per_s, double left_s) {
  const double percent = 100.0 * std::clamp(share, 0.0, 0.99);
  const std::string left =
      left_s < 90.0 ? fmt::format("{:.0f} s", left_s) : fmt::format("{:.0f} min", left_s / 60.0);
  return fmt::format("{:.0f} % of the line time, {:.0f} signal changes a second, {} left", percent,
                     changes_per_s, left);
}

void Progress::look(Instant at) {
  const double now_s = watch_.seconds();
  if (now_s < kQuiet_s || now_s < shown_s_ + kBetween_s) return;
  shown_s_ = now_s;
  const double share = static_cast<double>(at.us) / static_cast<double>(feed_.raw);
  if (share <= 0.0) return;
  const double left_s = std::max(0.0, now_s / share - now_s);
  out_ << kClearLine << progress_text(share, static_cast<double>(changes_) / now_s, left_s)
       << std::flush;
}

Progress::~Progress() {
  if (shown_s_ > 0.0) out_ << kClearLine << std::flush;
}

}  // namespace rimebench
