#include "harness/session/paced.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <optional>
#include <vector>

#include "harness/session/lockstep.hpp"
#include "harness/session/output_rules.hpp"
#include "harness/session/paced_record.hpp"
#include "plant_model/line/plant.hpp"

namespace rimebench {

namespace {

/// Exchanges of stamps before the run begins.
constexpr int kFirstStamps = 32;
/// While nothing else is sent the bench asks for stamps this often: they also tell how far the
/// node has surely come.
constexpr Duration kAskEvery = 5_ms;

Channel next(Channel channel) { return static_cast<Channel>(number(channel) + 1); }

/// The result as witnesses at the end of the run.
void put_figures(const PacedTerms& terms, const PacedResult& result, PacedRecord& record) {
  const auto put = [&](Channel channel, std::int64_t value) {
    const std::int64_t fits = std::clamp<std::int64_t>(value, INT32_MIN, INT32_MAX);
    if (fits != 0) record.add({result.end, channel, static_cast<std::int32_t>(fits)});
  };
  const auto put_delays = [&](Channel median, const DelayFigures& figures) {
    put(median, figures.median.raw);
    put(next(median), figures.percent_99.raw);
    put(next(next(median)), figures.worst.raw);
  };
  put(Channel::kPacedLockMemory, static_cast<std::int64_t>(terms.lock_memory));
  put(Channel::kPacedRealtime, static_cast<std::int64_t>(terms.realtime));
  put(Channel::kPacedInputs, static_cast<std::int64_t>(result.input.count));
  put(Channel::kPacedInputsLate, static_cast<std::int64_t>(result.inputs_late));
  put(Channel::kPacedFirstLate, result.first_late.us / 1'000);
  put_delays(Channel::kPacedLateMedian, result.input);
  put_delays(Channel::kPacedBenchMedian, result.bench);
  put_delays(Channel::kPacedLinkMedian, result.link);
  put(Channel::kPacedOutputs, static_cast<std::int64_t>(result.pins.count));
  put_delays(Channel::kPacedPinMedian, result.pins);
  put(Channel::kPacedClockAheadWhole, result.clock_offset.raw / kMicrosPerSecond);
  put(Channel::kPacedClockAheadRest, result.clock_offset.raw % kMicrosPerSecond);
  put(Channel::kPacedClockError, result.clock_offset_error.raw);
  put(Channel::kPacedClockDrift, std::llround(result.clock_drift_ppm * 1e3));
}

class PacedRun {
 public:
  PacedRun(const PlantSpec& spec, PacedNode& node, const PacedTerms& terms, RunSink& sink,
           PacedResult& result)
      : plant_(spec), node_(node), terms_(terms), record_(sink), result_(result) {}

  void run() {
    try {
      set_clocks();
      record_.add(
          {Instant{}, Channel::kPacedLateMax, static_cast<std::int32_t>(terms_.late_max.raw)});
      follow_the_clock();
    } catch (const LinkError&) {
      finish();
      throw;
    }
    finish();
  }

 private:
  void follow_the_clock() {
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

  void finish() {
    result_.bench = bench_.figures();
    result_.link = link_.figures();
    result_.input = input_.figures();
    result_.pins = pins_.figures();
    if (clock_.known()) {
      result_.clock_offset = clock_.offset();
      result_.clock_offset_error = clock_.offset_error();
      result_.clock_drift_ppm = clock_.drift_ppm();
    }
    if (!began_) return;
    put_figures(terms_, result_, record_);
    record_.flush();
  }

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
      if (came - *planned > terms_.late_max && result_.inputs_late++ == 0) {
        result_.first_late = Instant{} + (*planned - start_);
      }
    }
    planned_.pop_front();
    // Whatever was due by then is here.
    if (began_) known_ = later(known_, run_time(taken.received));
  }

  void take(const PacedOutputs& outputs) {
    pins_.add(outputs.late());
    if (!began_) return keep_levels(outputs.changes);
    const Instant due = later(known_, run_time(outputs.due));
    pin_at_ = std::max({due, pin_at_ + 1_us, run_time(outputs.pins)});
    for (const SignalChange& change : outputs.changes) {
      due_.push_back({due, change.channel, change.value});
      pins_ahead_.push_back({pin_at_, change.channel, change.value});
    }
    known_ = due + 1_us;
  }

  /// What was put out before the run began stands as it begins.
  void keep_levels(std::span<const SignalChange> changes) {
    for (const SignalChange& change : changes) {
      std::erase_if(due_, [&](const SignalChange& kept) { return kept.channel == change.channel; });
      if (change.value != 0) due_.push_back({Instant{}, change.channel, change.value});
    }
    std::ranges::sort(due_, canonical_before);
    pins_ahead_ = due_;
  }

  Instant run_time(Instant node) const { return Instant{} + (clock_.to_bench(node) - start_); }

  /// Takes the plant as far as the node has surely come; never past an input that is still to be
  /// sent, since the plant lets go of those it has passed.
  void follow() {
    while (!plant_.finished()) {
      const auto inputs = unsent();
      Instant reached = earlier(known_, ahead_.until);
      if (!inputs.empty()) reached = earlier(reached, inputs.front().at);
      if (!pins_ahead_.empty() && pins_ahead_.front().at < reached) {
        reached = earlier(reached, pins_ahead_.front().at + ahead_.feedback.lookahead);
      }
      if (reached <= plant_.reached()) return;
      settle(reached);
    }
  }

  /// Those before `reached`, which a caller erases when it has done with them.
  static std::span<const SignalChange> before(const std::vector<SignalChange>& changes,
                                              Instant reached) {
    const auto end = std::ranges::find_if(
        changes, [&](const SignalChange& change) { return change.at >= reached; });
    return {changes.begin(), end};
  }
  static void forget(std::vector<SignalChange>& changes, std::size_t count) {
    changes.erase(changes.begin(), changes.begin() + static_cast<std::ptrdiff_t>(count));
  }

  void settle(Instant reached) {
    const auto due = before(due_, reached);
    rules_.check(due, plant_.reached(), reached);
    for (const SignalChange& output : due) record_.add(output);
    const auto pins = before(pins_ahead_, reached);
    plant_.settle(reached, pins, record_);
    record_.flush();
    forget(due_, due.size());
    forget(pins_ahead_, pins.size());
    std::erase_if(sent_, [&](const SignalChange& input) { return input.at < reached; });
    result_.end = reached;
    node_.reached(reached);
    if (!plant_.finished()) ahead_ = plant_.next(GrantCut::kInputsUsual);
  }

  Plant plant_;
  PacedNode& node_;
  PacedTerms terms_;
  PacedRecord record_;
  PacedResult& result_;
  OutputRules rules_;
  ClockFit clock_;
  DelayLog bench_, link_, input_, pins_;

  Ahead ahead_{};
  bool began_{false};
  Instant start_{};                             // of the run, on the bench's clock
  Instant sent_at_{};                           // anything, last
  Instant known_{};                             // the node's outputs due before it are all here
  Instant pin_at_{};                            // of the last output
  std::vector<SignalChange> sent_;              // inputs past the plant's cursor
  std::deque<std::optional<Instant>> planned_;  // of each sending not yet taken; none: only stamps
  std::vector<SignalChange> due_;               // outputs past the plant's cursor, when due
  std::vector<SignalChange> pins_ahead_;        // and when they stood at the pins
};

}  // namespace

void run_paced(const PlantSpec& spec, PacedNode& node, const PacedTerms& terms, RunSink& sink,
               PacedResult& result) {
  PacedRun(spec, node, terms, sink, result).run();
}

}  // namespace rimebench
