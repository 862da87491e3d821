#pragma once

/// What is kept of one run of a scenario: few whole numbers, equal under every compiler, from which
/// a practitioner sees what changed.

#include <array>
#include <cstdint>
#include <map>
#include <string>

#include "harness/judge/verdict.hpp"

namespace rimebench {

/// Container numbers as "4, 17-22": the first kRangesMax ranges, then "...".
class NumberRanges {
 public:
  /// Numbers come in the order of the gate; one that does not follow the last begins a new range.
  void add(std::int64_t number);
  std::string text() const;

  static constexpr int kRangesMax = 12;

 private:
  void close(std::string& text) const;

  std::string text_;
  int ranges_{0};
  bool cut_{false};
  std::int64_t first_{0};
  std::int64_t last_{-1};
};

/// Settled pressure at one place, rounded to 100 Pa.
struct PlacePressure {
  std::int64_t containers{};
  std::int64_t mean_pa{};
  std::int64_t least_pa{};
  std::int64_t most_pa{};

  friend bool operator==(const PlacePressure&, const PlacePressure&) = default;
};

struct RunFigures {
  std::string verdict{"pass"};
  std::string digest;
  std::string faults{"none"};     ///< ever raised, parted by spaces
  std::string taken_out{"none"};  ///< container numbers, as NumberRanges has them
  std::string escaped{"none"};
  std::int64_t signal_changes{};
  std::int64_t end_us{};
  std::int64_t containers{};
  std::int64_t removed{};
  std::int64_t false_rejects{};
  std::int64_t escapes_sensed{};
  std::int64_t escapes_unsensed{};
  std::int64_t escapes_missed_by_gate{};
  std::int64_t undosed{};
  std::int64_t double_dosed{};
  std::int64_t unfinished{};
  std::int64_t shots{};
  std::map<std::int64_t, PlacePressure> places;

  friend bool operator==(const RunFigures&, const RunFigures&) = default;
};

struct TextFigure {
  const char* key;
  const char* words;
  std::string RunFigures::*value;
};
inline constexpr auto kTextFigures = std::to_array<TextFigure>({
    {"verdict", "verdict", &RunFigures::verdict},
    {"digest", "digest", &RunFigures::digest},
    {"faults", "alarms", &RunFigures::faults},
    {"taken_out", "containers taken out", &RunFigures::taken_out},
    {"escaped", "containers that escaped", &RunFigures::escaped},
});

struct CountFigure {
  const char* key;
  const char* words;
  std::int64_t RunFigures::*value;
};
inline constexpr auto kCountFigures = std::to_array<CountFigure>({
    {"signal_changes", "signal changes", &RunFigures::signal_changes},
    {"end_us", "end of the run, us", &RunFigures::end_us},
    {"containers", "containers finished", &RunFigures::containers},
    {"removed", "taken out at the gate", &RunFigures::removed},
    {"false_rejects", "false rejects", &RunFigures::false_rejects},
    {"escapes_sensed", "escapes that a sensor could have told", &RunFigures::escapes_sensed},
    {"escapes_unsensed", "escapes that no sensor could tell", &RunFigures::escapes_unsensed},
    {"escapes_missed_by_gate", "escapes flagged but not taken out",
     &RunFigures::escapes_missed_by_gate},
    {"undosed", "met by no shot", &RunFigures::undosed},
    {"double_dosed", "met by more than one shot", &RunFigures::double_dosed},
    {"unfinished", "never past the gate", &RunFigures::unfinished},
    {"shots", "shots", &RunFigures::shots},
});

struct PlaceFigure {
  const char* key;
  const char* words;
  std::int64_t PlacePressure::*value;
};
inline constexpr auto kPlaceFigures = std::to_array<PlaceFigure>({
    {"containers", "containers", &PlacePressure::containers},
    {"mean_pa", "mean settled pressure", &PlacePressure::mean_pa},
    {"least_pa", "least settled pressure", &PlacePressure::least_pa},
    {"most_pa", "most settled pressure", &PlacePressure::most_pa},
});

RunFigures figures_of(const Verdict& verdict, const NumberRanges& taken_out,
                      const NumberRanges& escaped);

}  // namespace rimebench
