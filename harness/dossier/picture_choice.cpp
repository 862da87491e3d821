#include "harness/dossier/picture_choice.hpp"

#include <algorithm>
#include <cstdlib>
#include <set>
#include <string>

#include "harness/dossier/names.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kFailuresMost = 24;
constexpr std::size_t kSampleMost = 24;

constexpr auto kExtremeWords = std::to_array<const char*>(
    {"softest of place ", "hardest of place ", "furthest from the centre at place "});

/// The greater, the further out.
std::array<std::int64_t, 3> figures_of(const LedgerRow& row) {
  return {-row.equilibrium_pa, row.equilibrium_pa, std::abs(row.landing_offset_um)};
}

}  // namespace

void PictureChoice::on_row(const LedgerRow& row) {
  if (row.seam_us == 0) return;  // it never came to its end
  if (row.bad != 0 && failures_.size() < kFailuresMost) {
    const std::string cause = in_words(kCauseNames.at(static_cast<std::size_t>(row.cause)));
    failures_.push_back({row.container, "bad: " + cause, draw_(row)});
  }
  if (row.shots > 0) keep_extremes(row);
  keep_sample(row);
}

void PictureChoice::keep_extremes(const LedgerRow& row) {
  PlaceExtremes& extremes = places_[row.place];
  const auto figures = figures_of(row);
  for (std::size_t i = 0; i < extremes.size(); ++i) {
    if (extremes[i] && figures[i] <= extremes[i]->figure) continue;
    const std::string why = kExtremeWords[i] + std::to_string(row.place);
    extremes[i] = Extreme{figures[i], {row.container, why, draw_(row)}};
  }
}

/// Every container at first; once there are too many, every second of them, and so on.
void PictureChoice::keep_sample(const LedgerRow& row) {
  if (seen_++ % stride_ != 0) return;
  if (sample_.size() == kSampleMost) {
    std::size_t kept = 0;
    for (std::size_t i = 0; i < sample_.size(); i += 2) {
      if (i != kept) sample_[kept] = std::move(sample_[i]);
      ++kept;
    }
    sample_.resize(kept);
    stride_ *= 2;
    if ((seen_ - 1) % stride_ != 0) return;
  }
  sample_.push_back({row.container, "of an even sample", draw_(row)});
}

TimingBlock PictureChoice::finish() const {
  TimingBlock block;
  std::set<std::int64_t> there;
  const auto add = [&](const ContainerPicture& picture) {
    if (there.insert(picture.container).second) block.pictures.push_back(picture);
  };
  for (const ContainerPicture& picture : failures_) add(picture);
  for (const auto& [place, extremes] : places_) {
    for (const auto& extreme : extremes) {
      if (extreme) add(extreme->picture);
    }
  }
  for (const ContainerPicture& picture : sample_) add(picture);
  return block;
}

}  // namespace rimebench
