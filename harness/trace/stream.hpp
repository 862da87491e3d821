#pragma once

#include <cstdio>
#include <memory>

namespace rimebench {

struct StreamCloser {
  void operator()(std::FILE* stream) const { static_cast<void>(std::fclose(stream)); }
};

/// An open file that is closed when it goes.
using Stream = std::unique_ptr<std::FILE, StreamCloser>;

}  // namespace rimebench
