#pragma once

/// The upstream half of the plant: everything that does not need to know what the controller does.
/// It runs ahead of the controller and makes its inputs.
///   drive ─> filler ─> sensor ─> (nozzle) ─> lid and seam, or queue and seamer ─> discharge ─>
///   gate
/// A station is a lane: only its next container is looked at, only within the drive's present
/// segment.

#include <cstdint>
#include <optional>

#include "plant_model/kernel/lanes.hpp"
#include "plant_model/line/bound.hpp"
#include "plant_model/line/carried.hpp"
#include "plant_model/line/drive.hpp"
#include "plant_model/line/filler.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/line/seamer_queue.hpp"
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
  /// The line permit was lost and the line's reaction time is over.
  void halt(Instant at);

  /// Where the container's centre is, from the filler along the travel; before the seamer takes it.
  Length centre_at(const Carried& container, Instant at) const;

 private:
  enum Lane : int {
    kSegmentEnd,
    kScript,
    kRelease,
    kPulse,
    kSensorOn,
    kSensorOff,
    kLid,
    kSeam,
    kDischargeOn,
    kDischargeOff,
    kGateReached,
    kQueueArrival,
    kSeamerFree,
    kLaneCount,
  };

  void handle(Lane lane, Instant at);
  void run_script(Instant at);
  void load_recipe(Instant at);
  void follow_permit(Instant at);
  void release(Instant at);
  void sensor_on(Carried& container, Instant at);
  void sensor_off(const Carried& container, Instant at);
  void chatter(const Carried& container, Instant edge);
  void discharge(Lane lane, Instant at);
  void level(Channel channel, Instant at, bool high);

  void set_all(Instant now);
  void set_idle(Instant now);
  void set_lane(Lane lane, Instant now);
  Instant time_of(Lane lane, Instant now) const;
  Instant time_of_discharge(Instant now) const;
  Length mark(Lane lane, const Carried& container) const;
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
  std::array<std::int64_t, kLaneCount> next_{};
  Length next_pulse_;
  std::int32_t pulse_level_{0};
  int before_sensor_{0};  ///< containers in front of the sensor
  Instant last_sensor_change_{};
  Instant last_discharge_change_{-1};
  bool permit_shown_{false};
  int script_step_{0};
  Instant last_event_{};
  bool finished_{false};
};

}  // namespace rimebench
