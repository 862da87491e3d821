#pragma once

/// A capture of a real line held against its recipe: what did the controller do, was it what the
/// recipe asks, and does the recipe fit the line?
///   capture ─> belt, containers, shots ─> which shot for which container ─> delays, lengths,
///   faults
///          └─> a controller of ours with the recipe ─> edge by edge against the captured ones
///          └─> latencies ─> the corrected recipe
/// All figures in us and um. The controller of the line is never believed: what the recipe asks is
/// worked out from the pulses, those after the moment too.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "harness/audit/belt_track.hpp"
#include "harness/audit/core_run.hpp"
#include "harness/audit/delay_law.hpp"
#include "harness/audit/latencies.hpp"
#include "harness/audit/sightings.hpp"

namespace rimebench {

/// One container that passed the sensor.
struct AuditedContainer {
  std::int64_t number{};  ///< 1, 2, ... as the capture shows them
  SeenContainer seen;
  std::optional<double> asked_us;  ///< its centre under the shot, as the recipe has it
  std::vector<std::size_t> shots;  ///< indices into AuditReport::shots
  bool counted{};  ///< its shot would lie within the capture, so that none is a missing one
  std::optional<bool> core_doses;  ///< the controller gives it a shot; nothing: it was not run
};

struct AuditedShot {
  Pulse valve;
  std::int64_t container{};  ///< its number; 0: none
  double late_us{};          ///< the middle of the landing after it was asked for, in time
  double late_um{};          ///< and along the belt; both with the recipe's latencies and flight
  double delay_us{};         ///< from the sensor's edge to the valve's command
};

/// A shot that no container waited for, or a container without one.
struct ShotFault {
  double at_us{};
  std::int64_t container{};  ///< 0: none
};

struct PlaceAudit {
  Measured length_us;
  std::optional<double> asked_us;  ///< mean by the recipe; nothing where it follows the queue
  Measured off_us;                 ///< each shot against its own asked length
};

/// A key of the recipe that the capture contradicts.
struct Correction {
  Parameter parameter{};
  const char* key{};
  std::int32_t old_value{};
  std::int32_t new_value{};
  Estimate measured;
  double landing_um{};  ///< what that moves the landing, at the fastest belt seen
};

/// Why the audit does not pass.
enum class AuditReason : std::uint8_t {
  kMissing,
  kDouble,
  kOrphan,
  kLengths,
  kLate,
  kDelayIsTime,
  kPulses,
  kCoreDiffers,
  kRecipeOff,
  // What leaves it open:
  kNoBelt,
  kTooFew,
  kCut,
  kCoreNeverRan,
  kCoreUnfed,  ///< its edges differ, but the samples it doses by are not captured
};
constexpr bool leaves_open(AuditReason reason) { return reason >= AuditReason::kNoBelt; }

struct AuditReport {
  Instant begin, end;
  bool complete{};
  PulseAudit pulses;
  bool pulsed{};  ///< the recipe works by line pulses
  SeenContainers sightings;
  std::vector<AuditedContainer> containers;
  std::vector<AuditedShot> shots;
  std::int64_t cut_shots{};       ///< the valve was open at the capture's begin or end
  std::int64_t before_capture{};  ///< shots for containers seen before the capture
  std::int64_t service{};         ///< shots to dry, cool or test the head
  bool matched_by_time{};         ///< shots fit the containers by time, not by belt travel
  std::vector<ShotFault> missing, refused, doubles, orphans;  ///< refused: the controller too
  Measured late_us, late_um, delay_us;
  std::optional<DelayLaw> law;
  std::map<int, PlaceAudit> places;
  std::optional<ValveLatency> valve;
  std::optional<SensorLatency> sensor;
  CoreRun core;
  std::optional<CoreComparison> comparison;  ///< nothing: it never came to run
  std::vector<Correction> corrections;
  RecipeValues corrected;
  std::vector<AuditReason> reasons;  ///< none: it passes
};

struct AuditSetup {
  LineSpec line;
  RecipeValues recipe;
  double within_us{500.0};  ///< the controller's edges agree that are no further apart
};

/// What shifts the landing by less than this is left as it is: a tenth of what the demo's lines
/// allow; no source.
inline constexpr double kMaterialUm = 500.0;

/// Throws std::invalid_argument for a capture that cannot be what it is said to be (wires missing,
/// polarity, unit of time), LinkError when the node is lost.
AuditReport audit(const CapturedLine& line, const AuditSetup& setup, Node& node);

}  // namespace rimebench
