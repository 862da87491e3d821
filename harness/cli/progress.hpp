#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>

#include "harness/link/stopwatch.hpp"
#include "plant_model/line/run_sink.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// One line that tells people how far a long run is; it stands between the run and its recorder.
class Progress final : public RunSink {
 public:
  /// `recorder` and `out` must outlive it.
  Progress(RunSink& recorder, Duration feed, std::ostream& out)
      : recorder_(recorder), feed_(feed), out_(out) {}
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  /// Takes its line away.
  ~Progress() override;

  void on_change(const SignalChange& change) override {
    recorder_.on_change(change);
    if (++changes_ % kLookEvery == 0) look(change.at);
  }
  void on_row(const LedgerRow& row) override { recorder_.on_row(row); }

 private:
  /// Few enough that the clock costs nothing.
  static constexpr std::int64_t kLookEvery = 4096;

  void look(Instant at);

  RunSink& recorder_;
  Duration feed_;
  std::ostream& out_;
  Stopwatch watch_;
  std::int64_t changes_{0};
  double shown_s_{0.0};  ///< when the line was last written; 0: never
};

/// "37 %, 1 240 000 signal changes a second, 12 s left".
std::string progress_text(double share, double changes_per_s, double left_s);

}  // namespace rimebench
