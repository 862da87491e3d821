#pragma once

/// From a speed log as loggers write it to a speed profile: rows in, knots out, in constant memory.
/// Nothing is passed over in silence: every row that was not used is counted under its reason.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "harness/intake/log_form.hpp"
#include "plant_model/spec/happening.hpp"

namespace rimebench {

/// Rows that share a fate, or something seen in them.
struct Tally {
  std::string what;
  std::int64_t count{};
  std::int64_t first_line{};
  std::string example;
  bool used{};  ///< the rows are in the profile all the same
};

/// The least and greatest speed in one stretch of time.
struct SpeedBin {
  double least{};
  double most{};
  bool empty{true};
};

/// The whole log in at most kBins stretches of equal length, however long it is.
struct SpeedPlot {
  static constexpr std::size_t kBins = 512;
  double bin_s{1.0};
  std::vector<SpeedBin> bins;

  void add(double from_s, double until_s, double from_value, double until_value);

 private:
  void mark(double at_s, double value);
};

struct SpeedIntake {
  FormInference form;
  std::vector<Tally> tallies;  ///< in the order of their first lines
  std::vector<std::string> notes;
  std::int64_t rows{};      ///< used
  std::int64_t start_us{};  ///< of the first one, since 1970 or in the log's own count
  double length_s{};
  double least_per_min{};
  double most_per_min{};
  double mean_per_min{};  ///< over time
  double stopped_s{};
  double containers{};  ///< the speed's integral
  std::int64_t knots{};
  SpeedPlot plot;

  bool answered() const { return form.questions.empty(); }
};

using KnotSink = std::function<void(const SpeedKnot&)>;

/// Reads the whole log. `sink` gets the profile's knots, times rising from 0. If questions are left
/// the knots are worth nothing. Throws std::invalid_argument if the file cannot be read or holds no
/// rows that can be used.
SpeedIntake take_in_speed(const std::filesystem::path& file, const Choices& choices,
                          const KnotSink& sink);

}  // namespace rimebench
