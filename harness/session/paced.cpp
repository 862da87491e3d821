#include "harness/session/paced.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <optional>
#include <vector>

#include "harness/session/lockstep.hpp"
#include "harness/session/output_rules.hpp"
#include "plant_model/line/plant.hpp"

namespace rimebench {

namespace {

/// Exchanges of stamps before the run begins.
constexpr int kFirstStamps = 32;
/// While nothing else is sent the bench asks for stamps this often: they also tell how far the
/// node has surely come.
constexpr Duration kAskEvery = 5_ms;

class PacedRun {
 public:
  PacedRun(const PlantSpec& spec, PacedNode& node, RunSink& sink, PacedResult& result)
      : plant_(spec), node_(node), sink_(sink), result_(result) {}

  ~PacedRun() {
    result_.bench = bench_.figures();
    result_.link = link_.figures();
    result_.input = input_.figures();
    result_.pins = pins_.figures();
    if (!clock_.known()) return;
    result_.clock_offset = clock_.offset();
    result_.clock_offset_error = clock_.offset_error();
    result_.clock_drift_ppm = clock_.drift_ppm();
  }

  void run() {
    set_clocks();
    ahead_ = plant_.next(GrantCut::kInputsUsual);
    while (!plant_.finished()) {
      const auto inputs = unsent();
      const Instant due = inputs.empty() ? kNever : start_ + (inputs.front().at - Instant{});
      const Instant wake = earlier(due, ask_at());
      if (node_.now() >= wake) {
        send(due <= wake ? inputs : std::span<const SignalChange>{});
      } else {
        take(node_.wait(wake));
      }
    }
  }

 private:
  void set_clocks() {
    for (int i = 0; i < kFirstStamps; ++i) {
      send({});
      while (node_.open() > 0) take(node_.wait(node_.now() + kAskEvery));
    }
    start_ = node_.now();
    began_ = true;
  }

  Instant ask_at() const { return node_.open() == 0 ? sent_at_ + kAskEvery : kNever; }

  /// The first inputs not sent yet, all of one instant. An output can bring an input that lies
  /// before others already sent.
  std::span<const SignalChange> unsent() const {
    const auto all = ahead_.inputs;
    const auto first = std::ranges::find_if(all, [&](const SignalChange& input) {
      return std::ranges::find(sent_, input) == sent_.end();
    });
    auto last = first;
    while (last != all.end() && last->at == first->at) ++last;
    return {first, last};
  }

  void send(std::span<const SignalChange> inputs) {
    sent_at_ = node_.send(inputs);
    if (began_) ++result_.exchanges;
    if (inputs.empty()) return planned_.push_back(std::nullopt);
    const Instant planned = start_ + (inputs.front().at - Instant{});
    planned_.push_back(planned);
    bench_.add(sent_at_ - planned);
    sent_.insert(sent_.end(), inputs.begin(), inputs.end());
  }

  void take(const PacedNews& news) {
    if (const auto* taken = std::get_if<PacedTaken>(&news)) {
      take(*taken);
    } else if (const auto* outputs = std::get_if<PacedOutputs>(&news)) {
      take(*outputs);
    } else {
      return;
    }
    if (began_) follow();
  }

  void take(const PacedTaken& taken) {
    clock_.add({taken.sent, taken.received, taken.replied, taken.arrived});
    if (const auto planned = planned_.front()) {
      const Instant came = clock_.to_bench(taken.received);
      link_.add(came - taken.sent);
      input_.add(came - *planned);
    }
    planned_.pop_front();
    // Whatever the node puts out from now on has a later stamp.
    if (began_) known_ = later(known_, run_time(taken.replied));
  }

  void take(const PacedOutputs& outputs) {
    pins_.add(outputs.late);
    if (!began_) return;
    const Instant at = later(known_, run_time(outputs.at));
    for (const SignalChange& change : outputs.changes) {
      outputs_.push_back({at, change.channel, change.value});
    }
    known_ = at + 1_us;
  }

  Instant run_time(Instant node) const { return Instant{} + (clock_.to_bench(node) - start_); }

  /// Takes the plant as far as the node has surely come; never past an input that is still to be
  /// sent, since the plant lets go of those it has passed.
  void follow() {
    while (!plant_.finished()) {
      const auto inputs = unsent();
      Instant reached = earlier(known_, ahead_.until);
      if (!inputs.empty()) reached = earlier(reached, inputs.front().at);
      if (!outputs_.empty() && outputs_.front().at < reached) {
        reached = earlier(reached, outputs_.front().at + ahead_.lookahead);
      }
      if (reached <= plant_.reached()) return;
      settle(reached);
    }
  }

  void settle(Instant reached) {
    const auto end = std::ranges::find_if(
        outputs_, [&](const SignalChange& output) { return output.at >= reached; });
    const std::span<const SignalChange> outputs(outputs_.begin(), end);
    rules_.check(outputs, plant_.reached(), reached);
    plant_.settle(reached, outputs, sink_);
    outputs_.erase(outputs_.begin(), end);
    std::erase_if(sent_, [&](const SignalChange& input) { return input.at < reached; });
    result_.end = reached;
    node_.reached(reached);
    if (!plant_.finished()) ahead_ = plant_.next(GrantCut::kInputsUsual);
  }

  Plant plant_;
  PacedNode& node_;
  RunSink& sink_;
  PacedResult& result_;
  OutputRules rules_;
  ClockFit clock_;
  DelayLog bench_, link_, input_, pins_;

  Ahead ahead_{};
  bool began_{false};
  Instant start_{};                             // of the run, on the bench's clock
  Instant sent_at_{};                           // anything, last
  Instant known_{};                             // the node's outputs before it are all here
  std::vector<SignalChange> sent_;              // inputs past the plant's cursor
  std::deque<std::optional<Instant>> planned_;  // of each sending not yet taken; none: only stamps
  std::vector<SignalChange> outputs_;           // past the plant's cursor
};

std::string figures_text(const char* what, const DelayFigures& figures) {
  return fmt::format("  {:<26}  {:>8} us  {:>8} us  {:>8} us\n", what, figures.median.raw,
                     figures.percent_99.raw, figures.worst.raw);
}

}  // namespace

void run_paced(const PlantSpec& spec, PacedNode& node, RunSink& sink, PacedResult& result) {
  PacedRun(spec, node, sink, result).run();
}

std::string over_budget(const PacedResult& result, Duration budget) {
  if (result.input.worst <= budget) return {};
  return fmt::format(
      "the bench or the link was late: an input reached the node {} us after its time, {} us are "
      "allowed; a run that was late proves nothing",
      result.input.worst.raw, budget.raw);
}

std::string to_text(const PacedResult& result, Duration budget) {
  std::string text = "paced on the wall clock: no determinism claim\n";
  text += fmt::format("  {:<26}  {:>11}  {:>11}  {:>11}\n", "late by", "median", "99 %", "worst");
  text += figures_text("bench, sending inputs", result.bench);
  text += figures_text("link, to the node", result.link);
  text += figures_text("together", result.input);
  text += figures_text("node, outputs at its pins", result.pins);
  text += fmt::format("  {} inputs, each to be at most {} us late: {}\n", result.input.count,
                      budget.raw, over_budget(result, budget).empty() ? "kept" : "NOT kept");
  text += fmt::format("  the node's clock: {:.3f} s ahead, known to {} us, {:+.1f} ppm fast\n",
                      static_cast<double>(result.clock_offset.raw) / 1e6,
                      result.clock_offset_error.raw, result.clock_drift_ppm);
  return text;
}

}  // namespace rimebench
