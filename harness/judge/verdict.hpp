#pragma once

/// What a run comes to, in the practitioner's own terms.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "firmware_sim/contract/channel.hpp"
#include "harness/config/scenario.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

enum class Bound : std::uint8_t { kAtLeast, kAtMost, kEquals };

/// Where an expectation was first broken.
struct Breach {
  Instant at;
  std::int64_t container{};  ///< 0: not a container's matter
  std::int64_t place{};
  Cause cause{};                   ///< why that container is bad
  std::optional<double> measured;  ///< there, in the finding's unit, where it has a figure
};

/// One thing expected and what was found. Figures are in `unit`, with as many decimals as
/// `decimals`; the unit "fault" means the number of a fault.
struct Finding {
  std::string name{};   ///< the expectation's key
  std::string words{};  ///< what it is about, for people
  Outcome outcome{Outcome::kPass};
  Bound bound{Bound::kAtMost};
  double measured{};  ///< the worst; of no meaning where the outcome is inconclusive
  double allowed{};
  std::string unit{};
  int decimals{0};
  std::int64_t looked_at{};  ///< containers or occasions held against it; 0: a figure of the run
  std::int64_t breaches{};   ///< of these
  std::optional<Breach> first{};
  std::string note{};  ///< said beside a failure
};

/// Containers at one place of their group, on the good side of the gate.
struct PlaceFigures {
  std::int64_t containers{};
  double mean_kpa{};
  double sd_kpa{};
  double least_kpa{};
  double most_kpa{};
  std::int64_t dosed{};               ///< of these; the dose against what the recipe wants there:
  double dose_error_mean_percent{};   ///< positive is too much
  double dose_error_worst_percent{};  ///< the one furthest off, with its sign
};

/// A scheduled stop of the line: the containers that it may cost and those that it did.
struct StopFigures {
  Instant at;
  Duration lasts;
  std::int64_t least{};
  std::int64_t most{};
  std::int64_t lost{};  ///< bad, or called for at the gate
};

/// A share with its 95 % confidence interval (Wilson), all in per cent of `of`.
struct Share {
  std::int64_t count{};
  std::int64_t of{};
  double percent{};
  double low_percent{};
  double high_percent{100.0};
};

/// Of none at all the share may be anything: 0 to 100 %.
Share share_of(std::int64_t count, std::int64_t of);

/// How a paced run kept its time: the last value of each of its witness channels.
class PacedFigures {
 public:
  static constexpr bool holds(Channel channel) {
    return channel >= Channel::kPacedLateMax && channel <= Channel::kPacedClockDrift;
  }

  std::int32_t operator[](Channel channel) const { return values_[index(channel)]; }
  std::int32_t& operator[](Channel channel) { return values_[index(channel)]; }

 private:
  static constexpr std::size_t index(Channel channel) {
    return std::size_t{number(channel)} - number(Channel::kPacedLateMax);
  }
  std::array<std::int32_t, number(Channel::kPacedClockDrift) - number(Channel::kPacedLateMax) + 1>
      values_{};
};

using CauseCounts = std::array<std::int64_t, static_cast<std::size_t>(Cause::kCount)>;

struct Verdict {
  Outcome outcome{Outcome::kPass};
  std::string reason;  ///< why not pass: the first failure in words, or what was lost
  bool lost{false};    ///< it did not run to its end
  std::uint64_t digest{};
  std::uint64_t signal_changes{};
  std::uint64_t exchanges{};
  Instant end{};

  std::int64_t containers{};  ///< that passed the gate or were taken out there
  std::int64_t unfinished{};  ///< released, but never past the last station
  std::int64_t removed{};
  Share escapes;                          ///< bad, on the good side of the gate
  Share escapes_sensed;                   ///< of these: not flagged, though a sensor could tell
  Share escapes_unsensed;                 ///< not flagged, and no sensor wired could have told
  std::int64_t escapes_missed_by_gate{};  ///< flagged, but not removed
  Share false_rejects;                    ///< good, but removed
  CauseCounts bad_by_cause{};             ///< all bad containers, removed or not
  std::int64_t undosed{};                 ///< of all that finished: no shot met them
  std::int64_t double_dosed{};            ///< more than one shot
  std::int64_t exposed{};                 ///< a disturbance met them
  std::int64_t recipes_taken{};           ///< by the controller
  std::int64_t recipes_refused{};
  std::int64_t shots{};            ///< openings commanded
  double nozzle_g{};               ///< nitrogen through the nozzle into or onto containers
  double valve_g{};                ///< nitrogen through the valve, at its nominal flow
  std::int64_t longest_open_us{};  ///< real opening
  std::int64_t stuck_shots{};      ///< commands that the valve did not follow in time
  std::int64_t hot_most_pa{};      ///< greatest prompt pressure when hot, of all sealed
  Share hot_over;                  ///< sealed containers beyond hot_prompt_kpa_max

  std::vector<Finding> findings;
  std::map<std::int64_t, PlaceFigures> places;
  std::vector<StopFigures> stops;                ///< those at a moment, in its order
  std::map<std::string, std::int64_t> counters;  ///< of the controller, those that counted
  std::string alarm{"none"};                     ///< at the end
  std::vector<std::string> faults;    ///< that were ever raised, in the order of their table
  std::optional<PacedFigures> paced;  ///< of a paced run
  std::vector<LedgerRow> bad_rows;    ///< the first kBadRowsMax

  static constexpr std::size_t kBadRowsMax = 100;
};

}  // namespace rimebench
