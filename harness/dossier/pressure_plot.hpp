#pragma once

/// The settled pressure over time, a row of characters for each place: small enough for a terminal,
/// and of fixed size however long the run.

#include <array>
#include <cstdint>
#include <map>
#include <string>

#include "harness/config/scenario.hpp"
#include "plant_model/line/run_sink.hpp"

namespace rimebench {

class PressurePlot final : public RunSink {
 public:
  explicit PressurePlot(const Scenario& scenario);

  void on_change(const SignalChange& change) override { static_cast<void>(change); }
  void on_row(const LedgerRow& row) override;

  /// Between the limits the mean of a stretch stands as 0 (the least allowed) to 9 (the most); v:
  /// one of them is softer than allowed, ^: one is harder, x: both. Where a limit is not set, the
  /// softest or hardest of the run takes its place. Empty if no container was sealed.
  std::string text() const;

 private:
  static constexpr std::size_t kStretches = 64;
  struct Stretch {
    std::int64_t count{};
    double sum{};
    std::int64_t least{};
    std::int64_t most{};
  };
  using Row = std::array<Stretch, kStretches>;

  char mark(const Stretch& stretch) const;
  std::string row_text(std::int64_t place, const Row& row) const;

  std::int64_t stretch_us_;
  const ContainerLimits& limits_;
  std::int64_t least_{};  ///< of the run
  std::int64_t most_{};
  std::map<std::int64_t, Row> places_;
};

}  // namespace rimebench
