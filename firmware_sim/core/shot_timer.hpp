#pragma once

#include <optional>

#include "firmware_sim/core/container_queue.hpp"
#include "firmware_sim/core/counters.hpp"
#include "firmware_sim/core/dose.hpp"
#include "firmware_sim/core/mode_table.hpp"
#include "firmware_sim/core/moment.hpp"
#include "firmware_sim/core/valve_request.hpp"

namespace rimebench {

/// True if a shot fired `lateness` after its time still lands inside the window.
bool in_window(Duration lateness, Speed speed, const Recipe& recipe);

/// Decides each container's one shot when it falls due: fires it, or refuses it, counts why and
/// flags the container. The middle of the flow is to land at the container's centre:
///   open = arrival of the centre under the nozzle - flight - (valve delays + open time) / 2
/// A due time past the next expected pulse waits for that pulse; every pulse plans anew.
class ShotTimer {
 public:
  /// Ends the running shot if its time is over or the mode is not Execute, then decides what is
  /// due.
  void settle(const Moment& moment, Mode mode, ContainerQueue& queue, Counters& counters);
  /// Ends the running shot, if any. Before its time it is cut: counted, its container flagged.
  void end(Instant now, ContainerQueue& queue, Counters& counters);

  bool open() const { return dosing_.has_value(); }
  /// The valve was shut then by another: it rests from then on.
  void rest_from(Instant shut_at) { closed_at_ = later(closed_at_, shut_at); }
  /// End of the last shot.
  Instant closed_at() const { return closed_at_; }
  /// When the valve will have rested, as far as can be told.
  Instant rested_at(const Recipe& recipe) const;

  ValveRequest request() const { return {dosing_.has_value(), dosing_}; }
  /// The next instant at which time alone makes settle() act.
  Instant due() const;
  /// True if a pulse just taken may bring the next shot forward of the pulse after it.
  bool in_reach(const Belt& belt, const Recipe& recipe, const ContainerQueue& queue) const;

 private:
  /// The next container's shot, as far as the belt lets it be foreseen.
  struct Plan {
    ContainerNumber container;
    Instant made_at;
    Instant open_at;   ///< kNever: not before the next pulse
    Instant act_at;    ///< open_at, or later if the valve has to rest first
    bool wait_capped;  ///< the dose is for less than the expected wait
    Dose dose;
  };
  bool planned(const Moment& moment, const ContainerQueue& queue) const;
  void plan(const Moment& moment, const Container& container, const ContainerQueue& queue);
  std::optional<Counter> refusal(const Moment& moment, Mode mode) const;
  void fire(Instant now, const Recipe& recipe, Container& container, Counters& counters);

  std::optional<Plan> plan_;
  std::optional<ContainerNumber> dosing_;  ///< the valve is asked to be open for this container
  Instant close_at_;                       ///< of the running shot
  Instant closed_at_{-kNever.us};          ///< end of the last shot
};

}  // namespace rimebench
