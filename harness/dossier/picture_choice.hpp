#pragma once

/// Which containers a report draws in full: the first failures, the extremes of each place, and an
/// even sample. Each is drawn as it passes, so nothing has to be kept of the others.

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "harness/report/document.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

class PictureChoice {
 public:
  using Draw = std::function<TimingPicture(const LedgerRow&)>;

  explicit PictureChoice(Draw draw) : draw_(std::move(draw)) {}

  void on_row(const LedgerRow& row);

  /// By container, failures first; each container once.
  TimingBlock finish() const;

 private:
  /// Softest, hardest, and furthest from the centre.
  struct Extreme {
    std::int64_t figure{};
    ContainerPicture picture;
  };
  using PlaceExtremes = std::array<std::optional<Extreme>, 3>;

  void keep_extremes(const LedgerRow& row);
  void keep_sample(const LedgerRow& row);

  Draw draw_;
  std::vector<ContainerPicture> failures_;
  std::map<std::int64_t, PlaceExtremes> places_;
  std::vector<ContainerPicture> sample_;
  std::int64_t stride_{1};
  std::int64_t seen_{0};
};

}  // namespace rimebench
