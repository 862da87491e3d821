#pragma once

/// The captured inputs through a controller: what would it have done on this very line?

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "firmware_sim/contract/fault.hpp"
#include "firmware_sim/contract/parameter.hpp"
#include "harness/audit/captured_line.hpp"
#include "harness/audit/replay.hpp"
#include "harness/audit/robust.hpp"
#include "harness/link/node.hpp"

namespace rimebench {

/// A capture of wires begins in the middle of things. What a controller needs before the first edge
/// is made up: power, recipe, reset, start, and every interlock that is not captured, as given. A
/// start button that is not captured follows each captured reset, too.
struct AssumedStart {
  Duration before{};                 ///< the capture's first instant is so long after power-up
  Duration shift{};                  ///< the controller's clock less the capture's
  std::vector<Channel> given;        ///< wires that are not captured and count as high
  std::vector<Parameter> left_out;   ///< parameters set to 0: what they watch is not captured
  bool no_samples{};                 ///< what the recipe doses by is among that
  std::vector<SignalChange> inputs;  ///< all of it, in canonical order
};

/// `recipe` is loaded, but for what the capture cannot feed.
AssumedStart assume_start(const CapturedLine& line, const RecipeValues& recipe);

/// What the controller did, on the capture's own clock.
struct CoreRun {
  bool own_start{};  ///< the capture has its own, with its own recipe
  AssumedStart start;
  CapturedLine outputs;             ///< of the controller
  std::optional<double> ran_at_us;  ///< it first was in Execute
  Fault fault{};                    ///< the first that it raised
  double fault_us{};
};

/// Throws LinkError when the node is lost.
CoreRun run_core(const CapturedLine& line, const RecipeValues& recipe, Node& node);

struct ChannelComparison {
  Channel channel{};
  std::int64_t captured{};  ///< changes compared
  std::int64_t agreed{};    ///< of those the controller gives the same, within the tolerance
  std::int64_t only_core{};
  Measured later_us;  ///< captured less the controller's, of those that agree
};

struct CoreComparison {
  double from_us{};  ///< before that the controller cannot know what is on the belt
  double within_us{};
  std::vector<ChannelComparison> channels;
  std::vector<Channel> not_compared;
  std::optional<ReplayDifference> first;  ///< `recorded` is the capture's

  bool agrees() const { return !first; }
};

/// Edge by edge. `from_us` of each channel: nothing before it is compared.
class CoreComparer {
 public:
  CoreComparer(const CapturedLine& line, const CoreRun& run, double within_us)
      : line_(line), run_(run), result_{0.0, within_us, {}, {}, {}} {}

  void compare(Channel channel, double from_us);
  void leave_out(Channel channel) { result_.not_compared.push_back(channel); }
  CoreComparison finish(double from_us);

 private:
  void differ(const std::optional<SignalChange>& captured, const std::optional<SignalChange>& core);

  const CapturedLine& line_;
  const CoreRun& run_;
  CoreComparison result_;
};

}  // namespace rimebench
