#pragma once

/// Runs a property of RapidCheck as a doctest case: the same cases in every run unless another seed
/// is asked for.
///   RIMEBENCH_PROPERTY_SEED=N    other cases (default 1)
///   RIMEBENCH_PROPERTY_PERCENT=N  N per cent of the cases (default 100)

#include <rapidcheck.h>

#include <cstdint>
#include <functional>
#include <stdexcept>
#include <string>

namespace rimebench::properties {

/// What a property found wrong.
struct Violation : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// `wrong` says what is not so, with the time.
inline void must(bool holds, std::int64_t at_us, const char* wrong) {
  if (!holds) throw Violation(std::to_string(at_us) + " us: " + wrong);
}

/// Controller instants settled since the program started.
inline std::int64_t steps_taken = 0;

/// Tries `property` on `cases` cases (a tenth of them in a build without optimisation), and fails
/// the present test with the smallest case found and the command that repeats it. Returns how many.
int holds(int cases, const std::function<void()>& property);

/// A whole number of lo..hi, each as likely, whatever RapidCheck's size.
rc::Gen<std::int64_t> between(std::int64_t lo, std::int64_t hi);

}  // namespace rimebench::properties
