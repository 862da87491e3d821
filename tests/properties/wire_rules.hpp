#pragma once

/// What must hold on the wires of any controller of this contract, whatever the plant, the operator
/// and the recipe do. Looks at inputs and outputs only and keeps its own clocks and counts.

#include <array>
#include <deque>
#include <map>
#include <optional>
#include <span>

#include "tests/properties/stream_rules.hpp"

namespace rimebench::properties {

/// Everything a set of runs has shown at least once, so that no property holds for want of cases.
struct Seen {
  std::int64_t openings = 0;  ///< for a container
  std::int64_t service_shots = 0;
  std::int64_t streams = 0;
  std::int64_t rejects = 0;
  std::int64_t recipes = 0;
  std::array<std::int64_t, static_cast<std::size_t>(Fault::kCount)> faults{};
  std::array<std::int64_t, static_cast<std::size_t>(Counter::kCount)> counters{};
  std::array<std::int64_t, static_cast<std::size_t>(Mode::kCount)> modes{};
};

class WireRules {
 public:
  explicit WireRules(Seen& seen) : seen_(seen) {}
  void operator()(Instant now, std::span<const SignalChange> inputs,
                  std::span<const SignalChange> outputs);

  std::int32_t level(Channel channel) const {
    const auto found = level_.find(channel);
    return found == level_.end() ? 0 : found->second;
  }
  std::int32_t counter(Counter counter) const { return level(counter_channel(counter)); }
  std::int64_t openings() const { return openings_; }

 private:
  void take_recipe(const SignalChange& input);
  void take(Instant now, const SignalChange& input);
  void sensor(Instant now, bool high);
  void believe_sensor(Instant now);
  void clear_line();
  void check_form(Instant now, std::span<const SignalChange> outputs) const;
  void check_change(Instant now, const SignalChange& output);
  void check_recipe(Instant now, std::int32_t state);
  void check_counter(Instant now, const SignalChange& output, std::int32_t before);
  void check_alarm(Instant now, Fault fault) const;
  void check_valve(Instant now, bool opens);
  void check_service_shot(Instant now, bool cool_down);
  void check_nozzle_clear(Instant now) const;
  void check_budget(Instant now, bool opens);
  bool brings_up() const {
    return value(Parameter::kPurgeUs) > 0 || value(Parameter::kCoolDownUsMax) > 0;
  }
  std::int64_t shot_lead_um(Instant now) const;
  void check_names_container(Instant now, std::int64_t lead_um);
  void check_state(Instant now) const;
  void check_mode(Instant now, Mode before, Mode after) const;
  std::int64_t value(Parameter parameter) const { return recipe_.get(parameter); }

  Seen& seen_;
  std::map<Channel, std::int32_t> level_;
  std::map<Channel, Instant> rose_at_;
  RecipeValues staged_;
  RecipeValues recipe_;
  bool has_recipe_ = false;
  bool committed_now_ = false;
  Mode mode_before_ = Mode::kStopped;
  BeltBounds belt_;
  bool raw_high_ = false;
  bool believed_high_ = false;
  SeenEdge raw_edge_{};  ///< where the belt was as the sensor last changed
  Instant raw_since_;
  std::size_t believed_now_ = 0;  ///< edges, at this instant
  std::deque<SeenEdge> edges_;    ///< not dosed yet
  std::deque<SeenEdge> on_belt_;  ///< not surely past the nozzle, dosed or not
  StreamRules stream_;
  bool stream_now_ = false;         ///< a stream was counted as begun at this instant
  std::int64_t open_limit_us_ = 0;  ///< of the present opening
  bool for_container_ = false;      ///< the present opening is
  bool cooled_now_ = false;         ///< a cool-down shot was counted at this instant
  bool executes_now_ = false;       ///< Execute at the end of this instant
  bool test_asked_ = false;
  std::int64_t budget_used_us_ = 0;
  Instant budget_since_;
  std::optional<Instant> open_since_;
  std::optional<Instant> closed_at_;
  std::int64_t openings_ = 0;
};

}  // namespace rimebench::properties
