#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "firmware_sim/contract/fault.hpp"
#include "harness/config/approval.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

enum class Outcome : std::uint8_t { kPass, kFail, kInconclusive };

/// What a scenario is there to show; its verdict follows from it.
enum class Claim : std::uint8_t {
  kSteady,   ///< nothing goes wrong: pass
  kHandled,  ///< something goes wrong that the controller can sense: nothing bad leaves, pass
  kEscape,   ///< something that no sensor wired here can tell: bad containers leave, fail
  kTrial,    ///< no model can say, such as a drink that foams: inconclusive
  kLost,     ///< the link to the controller fails, so nothing is proven: inconclusive
};

constexpr Outcome expected_outcome(Claim claim) {
  switch (claim) {
    case Claim::kSteady:
    case Claim::kHandled:
      return Outcome::kPass;
    case Claim::kEscape:
      return Outcome::kFail;
    case Claim::kTrial:
    case Claim::kLost:
      return Outcome::kInconclusive;
  }
  return Outcome::kPass;
}

/// What is expected of the run as a whole. The limits of each container stand in PlantSpec::limits.
struct RunLimits {
  std::int64_t escapes_max{0};
  std::optional<double> false_rejects_percent_max;
  std::optional<double> removed_percent_max;  ///< good or bad: what the line may lose
  std::optional<std::int64_t> containers_min;
  std::optional<std::int64_t>
      permit_reaction_us_max;  ///< run permit lost to valve commanded closed
  std::optional<std::int64_t> safety_reaction_us_max;  ///< safety chain opened to the same
  std::optional<std::int64_t> safety_closed_us_max;    ///< to valve really closed
  std::optional<std::int64_t> safety_landed_us_max;    ///< to last liquid landed
  std::optional<std::int64_t> valve_open_us_max;       ///< longest real opening
  std::optional<std::int64_t> stuck_shots_max;  ///< commands that the valve did not follow in time
  std::optional<std::int64_t> undosed_max;      ///< containers without a shot, removed or not
  std::optional<std::int64_t> double_dosed_max;
  std::optional<double> dose_error_percent_max;       ///< of a container, against its recipe
  std::optional<double> dose_error_mean_percent_max;  ///< of a place's mean
  std::optional<double> nitrogen_g_max;               ///< through the valve
  std::optional<std::int64_t> recipes_taken_min;      ///< recipes that the controller took
  std::optional<std::int64_t> recipes_refused_min;    ///< and those that it refused
  std::optional<std::int64_t> exposed_min;            ///< containers that met a disturbance
};

/// A scenario: line, recipe, what happens, what is expected.
struct Scenario {
  std::string name;    ///< file name without folder and ending
  std::string title;   ///< one line for people
  std::string reason;  ///< one sentence: why this scenario exists
  Claim claim{Claim::kSteady};
  bool is_long{false};  ///< takes long: a suite leaves it out unless asked
  PlantSpec plant;
  RunLimits run_limits;
  std::vector<Counter> must_reach;     ///< counters that must have counted, else the run fails
  std::vector<Fault> faults_must;      ///< that must have been raised
  std::vector<Fault> faults_must_not;  ///< that must never have been
  std::optional<Fault> expect_fault;   ///< the alarm that must be latched at the end
  std::vector<Approval> approvals;     ///< of the limits; in no order that matters
  std::string resolved_text;           ///< the whole scenario as one YAML file without references
};

}  // namespace rimebench
