#include "plant_model/line/filler.hpp"

#include <algorithm>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

/// Pitch errors beyond this many deviations do not happen: containers cannot overtake.
constexpr double kPitchDeviationMax = 3.0;

RandomStream stream(const PlantSpec& spec, Source source, std::int64_t item) {
  return {spec.seed, static_cast<std::uint32_t>(source), static_cast<std::uint64_t>(item)};
}

}  // namespace

Filler::Filler(const PlantSpec& spec)
    : Bound{{spec}},
      next_{spec.line.filler.kind == FillerKind::kRotary ? spec.line.filler.pitch_um
                                                         : spec.line.filler.group_pitch_um} {}

bool Filler::missing(std::int64_t position, int head) const {
  const std::vector<int>& heads = spec_.happens.heads_missing;
  if (std::find(heads.begin(), heads.end(), head) != heads.end()) return true;
  const std::int32_t share_ppm = spec_.happens.missing_share_ppm;
  return share_ppm > 0 &&
         stream(spec_, Source::kMissing, position).happens(static_cast<std::uint32_t>(share_ppm));
}

void Filler::append(Conveyed& conveyed, std::int64_t position, Length offset) {
  RandomStream chance = stream(spec_, Source::kContainer, position);
  Carried& container = conveyed.append();
  container.position = position;
  container.fill_deviation = chance.normal();
  container.gas_deviation = chance.normal();
  container.boil_off_deviation = chance.normal();
  const double pitch_error = std::clamp(chance.normal(), -kPitchDeviationMax, kPitchDeviationMax) *
                             static_cast<double>(spec_.line.filler.pitch_sd_um);
  container.offset = offset + Length{static_cast<std::int64_t>(pitch_error)};
}

void Filler::release(Conveyed& conveyed) {
  const FillerSpec& filler = spec_.line.filler;
  if (!inline_heads()) {
    const std::int64_t position = released_positions_++;
    if (!missing(position, 0)) {
      append(conveyed, position, next_);
      Carried& container = conveyed[conveyed.last()];
      container.row.place = 1;
    }
    next_ += Length{filler.pitch_um};
    return;
  }
  ++groups_;
  in_group_ = 0;
  for (int head = 1; head <= filler.heads; ++head) {
    const std::int64_t position = released_positions_++;
    if (missing(position, head)) continue;
    append(conveyed, position, next_ + Length{(head - 1) * filler.head_pitch_um});
    LedgerRow& row = conveyed[conveyed.last()].row;
    row.group = groups_;
    row.head = head;
    row.place = ++in_group_;
  }
  next_ += Length{filler.group_pitch_um};
}

}  // namespace rimebench
