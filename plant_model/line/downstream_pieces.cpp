#include <cmath>

#include "plant_model/kernel/motion.hpp"
#include "plant_model/kernel/random.hpp"
#include "plant_model/line/chance.hpp"
#include "plant_model/line/downstream.hpp"
#include "plant_model/line/sources.hpp"
#include "plant_model/physics/flight.hpp"
#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/si.hpp"

/// The downstream half's liquid: what the valve passes, in pieces, and where each lands.

namespace rimebench {

namespace {

constexpr double kKgPerUg = 1e-9;
/// One part in a thousand of vapour by mass takes about 8 % off a shot.
constexpr double kVapourMatters = 0.001;

}  // namespace

void Downstream::begin_piece(const Piece& piece) {
  in_flight_.push_back(piece);
  lanes_.set(kPieceEnds, piece.opened + piece_max_);
}

void Downstream::begin_leak(Instant at) {
  if (valve_.leak_kg_per_s(at) > 0.0) begin_piece({kNoShot, true, at});
}

/// What the piece would be with liquid of the pressure at which the valve was calibrated.
double Downstream::rated_kg(const Piece& piece, Instant closed) const {
  const auto open_us = static_cast<double>((closed - piece.opened).raw);
  if (piece.leak) {
    return valve_.leak_kg_per_s(piece.opened) * open_us / static_cast<double>(kMicrosPerSecond);
  }
  const ValveSpec& valve = spec_.line.valve;
  const RandomBlock words = draw(spec_.seed, static_cast<std::uint32_t>(Source::kValve),
                                 static_cast<std::uint64_t>(piece.shot), 0);
  const double flow =
      valve.flow_ug_per_us * (1.0 + deviation(words[2]) * valve.flow_sd_percent / 100.0);
  return flow * valve_.flow_factor(piece.opened) * open_us * kKgPerUg;
}

void Downstream::end_piece(Instant at) {
  Piece& piece = in_flight_.back();
  piece.closed = at;
  piece.nozzle_kg = rated_kg(piece, at);
  if (piece.shot == kNoShot) {
    piece.befell = befell_bit(Befell::kStrayLiquid);
  } else if (valve_.troubled(piece.opened)) {
    piece.befell = befell_bit(Befell::kValveTrouble);
  }
  piece.lateral_um = spec_.line.nozzle.lateral_um + valve_.deflection_um(piece.opened);
  if (supply_) {
    const Passed passed = supply_->shoot(piece.opened, at, piece.nozzle_kg);
    piece.nozzle_kg = passed.nozzle_kg;
    piece.liquid_share = 1.0 - passed.vapour_share;
    if (passed.vapour_share > kVapourMatters) piece.befell |= befell_bit(Befell::kVapour);
    if (passed.low_head) piece.befell |= befell_bit(Befell::kLowHead);
  }
  lanes_.clear(kPieceEnds);
  lanes_.set(kLands, in_flight_.front().closed + fall_.to_drink);
}

void Downstream::land(Instant at) {
  const Piece piece = in_flight_.pop_front();
  const bool more = !in_flight_.empty() && in_flight_.front().closed != kNever;
  lanes_.set(kLands, more ? in_flight_.front().closed + fall_.to_drink : kNever);
  const Length reach{spec_.container.body_um};
  landing_candidate_ = std::max(landing_candidate_, conveyed_.first());
  if (spec_.happens.turns_back()) landing_candidate_ = conveyed_.first();
  while (conveyed_.has(landing_candidate_) &&
         past_nozzle(conveyed_[landing_candidate_], piece.opened + fall_.to_rim) > reach) {
    ++landing_candidate_;
  }
  std::int64_t landed_in = -piece.shot;
  for (std::int64_t n = landing_candidate_; conveyed_.has(n); ++n) {
    if (past_nozzle(conveyed_[n], at) < -reach) break;
    if (land_in(conveyed_[n], piece)) landed_in = n;
  }
  if (piece.shot != kNoShot) witness(at, Channel::kLanding, landed_in);
}

/// Credits the container with its part of the piece; true if any fell in. The nozzle's liquid
/// counts for the container that the middle of the piece meets; only one can.
bool Downstream::land_in(Carried& container, const Piece& piece) {
  const Duration half = halved_floor(piece.closed - piece.opened);
  const Duration to_drink = fall_into(container).to_drink;
  const Instant middle = piece.opened + half + to_drink;
  const bool open = container.lid > piece.closed + to_drink;
  const double share = open ? captured(container, piece) : 0.0;
  const Length offset = past_nozzle(container, middle);
  const Length body_radius{spec_.container.body_um / 2};
  const bool meant = -body_radius <= offset && offset < body_radius;
  if (share == 0.0 && !meant) return false;
  LedgerRow& row = container.row;
  row.befell |= piece.befell;
  const double landed_kg = piece.nozzle_kg * piece.liquid_share * share * landed_share_;
  packaging_.land(container, middle, landed_kg);
  if (row.shots == 0 && piece.shot != kNoShot) {
    row.landing_us = middle.us;
    row.landing_offset_um = offset.raw;
    row.captured_ppm = static_cast<std::int64_t>(share * 1e6 + 0.5);
  }
  if (piece.shot != kNoShot) {
    if (container.last_shot != piece.shot) ++row.shots;
    container.last_shot = piece.shot;
  }
  if (meant) row.nozzle_ug += static_cast<std::int64_t>(piece.nozzle_kg / kKgPerUg + 0.5);
  row.landed_ug += static_cast<std::int64_t>(landed_kg / kKgPerUg + 0.5);
  return share > 0.0;
}

Length Downstream::past_nozzle(const Carried& container, Instant at) const {
  return upstream_.centre_at(container, at) - Length{spec_.line.stations.nozzle_um};
}

/// Mishap of the piece that passes the rim and, where it lies further along by then, the surface
/// too.
double Downstream::captured(const Carried& container, const Piece& piece) const {
  if (has_befallen(container, Befell::kFallen)) return 0.0;  // its opening faces another way
  const NozzleSpec& nozzle = spec_.line.nozzle;
  const Duration half = halved_floor(piece.closed - piece.opened);
  const auto [to_rim, to_drink] = fall_into(container);
  const Length first = past_nozzle(container, piece.opened + to_rim);
  const Length last = past_nozzle(container, piece.closed + to_rim);
  const Length middle = past_nozzle(container, piece.opened + half + to_rim);
  const Length at_drink = past_nozzle(container, piece.opened + half + to_drink);
  const double radius = metres(spec_.container.opening_um) / 2.0;
  const double shift = -metres((at_drink - middle).raw);
  // Liquid further out than this meets neither edge: only what lies within is looked at.
  const double jet_radius = metres(nozzle.jet_diameter_um) / 2.0;
  const double reach = radius + jet_radius + std::abs(shift);
  const double from = std::max(-metres(last.raw), -reach);
  const double to = std::min(-metres(first.raw), reach);
  if (from > to) return 0.0;
  const physics::Streak streak{jet_radius, to - from, (from + to) / 2.0, metres(piece.lateral_um)};
  const std::array<physics::Plane, 2> planes{{{radius, 0.0}, {radius, shift}}};
  const double share = physics::captured_share(streak, planes, 0.0);
  return last == first ? share : share * streak.length_m / metres((last - first).raw);
}

/// The opening that sticks leaves no liquid; what would have been the middle of its shot's landing
/// tells whose it was.
void Downstream::miss(Instant at) {
  lanes_.set(kStays, kNever);
  const Length reach{spec_.container.body_um / 2};
  for (std::int64_t n = conveyed_.first(); conveyed_.has(n); ++n) {
    const Length past = past_nozzle(conveyed_[n], at);
    if (past < -reach) break;
    if (past < reach) conveyed_[n].row.befell |= befell_bit(Befell::kValveTrouble);
  }
}

}  // namespace rimebench
