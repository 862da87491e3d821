#include "harness/cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>

namespace rimebench {

namespace {

/// Nothing is readable in less.
constexpr unsigned kColumnsLeast = 40;

}  // namespace

bool is_terminal(int descriptor) { return isatty(descriptor) != 0; }

TextLook look_of(int descriptor) {
  TextLook look;
  if (!is_terminal(descriptor)) return look;
  // NOLINTNEXTLINE(concurrency-mt-unsafe): no other thread runs
  const char* const none = std::getenv("NO_COLOR");
  look.colour = none == nullptr || *none == '\0';
  winsize size{};
  if (ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col >= kColumnsLeast) {
    look.columns = size.ws_col;
  }
  return look;
}

}  // namespace rimebench
