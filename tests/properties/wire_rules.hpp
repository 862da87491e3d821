#pragma once

/// What must hold on the wires of any controller of this contract, whatever the plant, the operator
/// and the recipe do. Looks at inputs and outputs only and keeps its own clocks and counts.

#include <array>
#include <deque>
#include <map>
#include <optional>
#include <span>

#include "tests/properties/drive.hpp"

namespace rimebench::properties {

/// Everything a set of runs has shown at least once, so that no property holds for want of cases.
struct Seen {
  std::int64_t openings = 0;  ///< for a container
  std::int64_t service_shots = 0;
  std::int64_t rejects = 0;
  std::int64_t recipes = 0;
  std::array<std::int64_t, static_cast<std::size_t>(Fault::kCount)> faults{};
  std::array<std::int64_t, static_cast<std::size_t>(Counter::kCount)> counters{};
  std::array<std::int64_t, static_cast<std::size_t>(Mode::kCount)> modes{};
};

/// Where the belt may be and how fast it goes, from pulses or from permit and line speed alone.
class BeltBounds {
 public:
  void configure(Instant now, const RecipeValues& recipe, bool permit);
  void on_pulse(Instant now);
  void on_permit(Instant now, bool permit);
  std::int64_t least_um(Instant now) const;
  std::int64_t most_um(Instant now) const { return least_um(now) + slack_um_; }
  /// The fastest the belt can be held to go, from the last two pulses; 0 before.
  std::int64_t speed_um_per_s(Instant now) const;

 private:
  bool may_drop_ = false;     ///< a pulse may be taken for an extra one
  bool may_fill_in_ = false;  ///< or for one before which others were lost
  std::int64_t pitch_um_ = 0;
  std::int64_t line_um_per_s_ = 0;
  std::int64_t slack_um_ = 2;
  std::int64_t origin_um_ = 0;
  Instant since_;
  bool permit_ = false;
  int pulses_ = 0;
  std::int64_t period_us_ = 0;
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
  /// A level of the container sensor that held long enough to be a container's leading edge.
  struct Edge {
    std::int64_t least_um;
    std::int64_t most_um;
  };

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
  void check_names_container(Instant now);
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
  Edge raw_edge_{};  ///< where the belt was as the sensor last changed
  Instant raw_since_;
  std::size_t believed_now_ = 0;    ///< edges, at this instant
  std::deque<Edge> edges_;          ///< not dosed yet
  std::deque<Edge> on_belt_;        ///< not surely past the nozzle, dosed or not
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
