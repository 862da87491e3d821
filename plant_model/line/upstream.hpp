#pragma once

/// The upstream half of the plant: everything that does not need to know what the controller does.
/// It runs ahead of the controller and makes its inputs.
///   drive ─> filler ─> sensor ─> (nozzle) ─> lid and seam, or queue and seamer ─> discharge ─>
///   gate
///   timeline: what the scenario lets happen at a moment
/// A station is a lane: only its next container is looked at, only within the drive's present
/// segment.

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "plant_model/kernel/lanes.hpp"
#include "plant_model/line/bound.hpp"
#include "plant_model/line/carried.hpp"
#include "plant_model/line/drive.hpp"
#include "plant_model/line/filler.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/line/pulse_train.hpp"
#include "plant_model/line/schedule.hpp"
#include "plant_model/line/seamer_queue.hpp"
#include "plant_model/line/sensor_signal.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct UpstreamReferences {
  const PlantSpec& spec_;
  Conveyed& conveyed_;
};

class Upstream : private Bound<UpstreamReferences> {
 public:
  Upstream(const PlantSpec& spec, Conveyed& conveyed);

  /// Runs to `until` or until about `inputs_max` changes wait for the controller. Returns how far
  /// it came: every input change before that instant is in inputs().
  Instant run(Instant until, std::size_t inputs_max);

  InputQueue& inputs() { return inputs_; }
  const InputQueue& inputs() const { return inputs_; }
  Drive& drive() { return drive_; }
  const Drive& drive() const { return drive_; }
  /// Nothing more will happen by itself: fed, run empty, or at a standstill for good.
  bool finished() const { return finished_; }
  /// The instant of the latest event so far.
  Instant last_event() const { return last_event_; }
  /// Every station has seen this container.
  bool has_left(std::int64_t number) const;
  /// The line permit was lost, or is back, and the line's reaction time is over.
  void halt(Instant at);
  void resume(Instant at);

  /// Where the container's centre is, from the filler along the travel; before the seamer takes it.
  Length centre_at(const Carried& container, Instant at) const;

 private:
  enum Lane : int {
    kSegmentEnd,
    kScript,
    kTimeline,
    kRelease,
    kPulse,
    kPulseAgain,
    kSensorOn,
    kSensorOff,
    kLid,
    kSeam,
    kDischargeOn,
    kDischargeOff,
    kCheckReached,
    kGateReached,
    kQueueArrival,
    kSeamerFree,
    kLaneCount,
  };

  void handle(Lane lane, Instant at);
  void handle_container(Lane lane, Instant at);
  void go_back(Lane lane, Instant at);
  void run_script(Instant at);
  void load_recipe(Instant at);
  void load_second_recipe(Instant at);
  void follow_drive(Instant at);
  bool wired(Channel channel) const;
  void run_timeline(Instant at);
  void run_spell(const TimelineEvent& event);
  void press(const TimelineEvent& event);
  void mark(const TimelineEvent& event);
  void mark(Befell befell, std::int64_t first, std::int64_t last);
  std::int64_t next_to_seam() const { return queued() ? queue_.head() : next_of(kSeam); }
  std::int64_t next_to_gate() const {
    return has_station(kGateReached) ? next_of(kGateReached) : next_to_seam();
  }
  void release(Instant at);
  void announce_group(Instant at, std::int64_t first);
  void pass_pulse(Instant at, bool backwards);
  void sensor_on(Carried& container, Instant at);
  void sensor_off(const Carried& container, Instant at);
  Duration sensor_delay(const Carried& container, bool on) const;
  void chatter(Carried& container, Instant edge);
  void discharge(Lane lane, Instant at);
  void see_discharge(Instant at, bool comes);
  void level(Channel channel, Instant at, bool high);
  /// The same for a level that may be there already.
  void show(Channel channel, Instant at, bool high);

  void set_all(Instant now);
  void set_idle(Instant now);
  void set_lane(Lane lane, Instant now);
  void skip_taken_away(Lane lane);
  Instant time_of(Lane lane, Instant now) const;
  Instant time_of_container(Lane lane, Instant now) const;
  Instant time_back(Lane lane, Instant now) const;
  Instant time_of_discharge(Instant now) const;
  Length sensor_at(Instant now) const;
  Length mark_of(Lane lane, const Carried& container, Instant now) const;
  bool has_station(Lane lane) const;
  bool queued() const { return spec_.line.transport == Transport::kQueued; }
  std::int64_t& next_of(Lane lane) { return next_[static_cast<std::size_t>(lane)]; }
  std::int64_t next_of(Lane lane) const { return next_[static_cast<std::size_t>(lane)]; }
  bool run_empty(Instant now) const;

  Drive drive_;
  Filler filler_;
  SeamerQueue queue_;
  Lanes lanes_;
  InputQueue inputs_;
  PulseTrain pulses_;
  SensorSignal sensor_;
  std::shared_ptr<const std::vector<TimelineEvent>> timeline_;
  std::size_t next_event_{0};
  std::int64_t active_befell_{0};  ///< what befalls whatever comes to the sensor now
  std::array<std::int64_t, kLaneCount> next_{};
  int before_sensor_{0};     ///< containers that the sensor sees
  int before_discharge_{0};  ///< and the discharge sensor
  Instant last_discharge_change_{-1};
  Instant group_signal_ends_{-1};
  std::array<bool, 32> shown_{};  ///< by the low byte of the channel
  bool permit_flickers_{false};
  int chain_open_{0};   ///< for so many reasons
  int seamer_held_{0};  ///< the same
  bool no_room_{false};
  int script_step_{0};
  bool second_staged_{false};  ///< the second recipe
  Instant last_event_{};
  bool finished_{false};
};

}  // namespace rimebench
