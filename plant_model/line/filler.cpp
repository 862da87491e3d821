#include "plant_model/line/filler.hpp"

#include <algorithm>
#include <array>

#include "plant_model/kernel/random.hpp"
#include "plant_model/line/sources.hpp"

namespace rimebench {

namespace {

/// Pitch errors beyond this many deviations do not happen: containers cannot overtake.
constexpr double kPitchDeviationMax = 3.0;

/// Containers put in by hand have positions of their own, beyond every run's.
constexpr std::int64_t kExtraPositions = std::int64_t{1} << 40;

RandomStream stream(const PlantSpec& spec, Source source, std::int64_t item) {
  return {spec.seed, static_cast<std::uint32_t>(source), static_cast<std::uint64_t>(item)};
}

}  // namespace

Filler::Filler(const PlantSpec& spec)
    : Bound{{spec}},
      next_{spec.line.filler.kind == FillerKind::kRotary ? spec.line.filler.pitch_um
                                                         : spec.line.filler.group_pitch_um} {}

bool Filler::missing(std::int64_t position, int head) const {
  if (pauses_) return true;
  const std::vector<int>& heads = spec_.happens.heads_missing;
  if (std::find(heads.begin(), heads.end(), head) != heads.end()) return true;
  const std::int32_t share_ppm = spec_.happens.missing_share_ppm;
  return share_ppm > 0 &&
         stream(spec_, Source::kMissing, position).happens(static_cast<std::uint32_t>(share_ppm));
}

bool Filler::draws(MishapKind kind, Source source, std::int64_t item) const {
  return happens_to(spec_.seed, source, item, spec_.happens.of(kind).share_ppm);
}

/// Someone has pushed it up against the one that was released just before it.
bool Filler::stands_against_last(const Conveyed& conveyed, std::int64_t position) const {
  if (conveyed.empty()) return false;
  const Carried& last = conveyed[conveyed.last()];
  return last.position == position - 1 && last.slip == 0_um && last.holds.empty() &&
         draws(MishapKind::kTouching, Source::kTouching, position);
}

Carried& Filler::append(Conveyed& conveyed, std::int64_t position, Length offset) {
  RandomStream chance = stream(spec_, Source::kContainer, position);
  const bool touching = stands_against_last(conveyed, position);
  Carried& container = conveyed.append();
  container.position = position;
  container.fill_deviation = chance.normal();
  container.gas_deviation = chance.normal();
  container.boil_off_deviation = chance.normal();
  const double pitch_error = std::clamp(chance.normal(), -kPitchDeviationMax, kPitchDeviationMax) *
                             static_cast<double>(spec_.line.filler.pitch_sd_um);
  container.offset = offset + Length{static_cast<std::int64_t>(pitch_error)};
  if (touching) {
    const Carried& ahead = conveyed[conveyed.last() - 1];
    container.offset = ahead.offset + Length{spec_.container.body_um};
    container.row.befell |= befell_bit(Befell::kTouching);
  }
  container.row.place = 1;
  befall(container);
  return container;
}

void Filler::befall(Carried& container) const {
  struct Chance {
    MishapKind kind;
    Source source;
    Befell befell;
  };
  static constexpr std::array<Chance, 6> kChances{
      {{MishapKind::kSplashEcho, Source::kSplashEcho, Befell::kSplashEcho},
       {MishapKind::kUnseen, Source::kUnseen, Befell::kUnseen},
       {MishapKind::kShoulder, Source::kShoulder, Befell::kShoulder},
       {MishapKind::kFallen, Source::kFallen, Befell::kFallen},
       {MishapKind::kTakenBeforeSeam, Source::kTakenBeforeSeam, Befell::kTakenBeforeSeam},
       {MishapKind::kTakenBehindSeam, Source::kTakenBehindSeam, Befell::kTakenBehindSeam}}};
  std::int64_t& befell = container.row.befell;
  for (const Chance& chance : kChances) {
    if (draws(chance.kind, chance.source, container.position)) befell |= befell_bit(chance.befell);
  }
  const WrongContainer& wrong = spec_.happens.wrong_container;
  const bool its_time = wrong.at <= now_ && now_ < wrong.at + wrong.lasts;
  if (its_time &&
      happens_to(spec_.seed, Source::kWrongContainer, container.position, wrong.share_ppm)) {
    befell |= befell_bit(Befell::kWrongContainer);
  }
  const bool fallen = has_befallen(befell, Befell::kFallen);
  const std::int64_t length =
      fallen ? spec_.happens.of(MishapKind::kFallen).um : spec_.container.body_um;
  container.half_body = Length{length / 2};
}

/// Somebody puts one in behind the last, where there is room for it before the next.
void Filler::append_extra(Conveyed& conveyed, std::int64_t position, Length gap) {
  const Length behind{spec_.happens.of(MishapKind::kExtra).um};
  if (!draws(MishapKind::kExtra, Source::kExtra, position)) return;
  if (behind + Length{spec_.container.body_um} > gap) return;
  const Carried before = conveyed[conveyed.last()];
  Carried& extra = append(conveyed, position + kExtraPositions, before.offset);
  extra.offset = before.offset + behind;
  extra.row.befell |= befell_bit(Befell::kExtra);
  extra.row.group = before.row.group;
  extra.row.place = inline_heads() ? ++in_group_ : 1;
}

void Filler::release(Conveyed& conveyed, Instant at) {
  now_ = at;
  if (inline_heads()) return release_group(conveyed);
  const std::int64_t position = released_positions_++;
  const Length pitch{spec_.line.filler.pitch_um};
  if (!missing(position, 0)) {
    append(conveyed, position, next_);
    const bool room = missing(position + 1, 0);
    append_extra(conveyed, position, room ? pitch + pitch : pitch);
  }
  next_ += pitch;
}

void Filler::release_group(Conveyed& conveyed) {
  const FillerSpec& filler = spec_.line.filler;
  ++groups_;
  in_group_ = 0;
  const bool is_short = draws(MishapKind::kShortGroup, Source::kShortGroup, groups_);
  const int heads = is_short ? spec_.happens.of(MishapKind::kShortGroup).heads : filler.heads;
  for (int head = 1; head <= filler.heads; ++head) {
    const std::int64_t position = released_positions_++;
    if (head > heads || missing(position, head)) continue;
    LedgerRow& row =
        append(conveyed, position, next_ + Length{(head - 1) * filler.head_pitch_um}).row;
    row.group = groups_;
    row.head = head;
    row.place = ++in_group_;
    if (is_short) row.befell |= befell_bit(Befell::kShortGroup);
    const bool last = head == filler.heads;
    const std::int64_t to_next_group = filler.group_pitch_um - (head - 1) * filler.head_pitch_um;
    append_extra(conveyed, position, Length{last ? to_next_group : filler.head_pitch_um});
  }
  next_ += Length{filler.group_pitch_um};
}

}  // namespace rimebench
