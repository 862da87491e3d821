#pragma once

#include <chrono>

namespace rimebench {

/// How long something takes for those who wait for it. Nothing of a run may depend on it.
class Stopwatch {
 public:
  double seconds() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  }

 private:
  std::chrono::steady_clock::time_point start_{std::chrono::steady_clock::now()};
};

}  // namespace rimebench
