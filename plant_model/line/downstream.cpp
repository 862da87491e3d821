#include "plant_model/line/downstream.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "plant_model/kernel/motion.hpp"
#include "plant_model/kernel/random.hpp"
#include "plant_model/line/chance.hpp"
#include "plant_model/line/sources.hpp"
#include "plant_model/physics/flight.hpp"
#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kKgPerUg = 1e-9;
/// One part in a thousand of vapour by mass takes about 8 % off a shot.
constexpr double kVapourMatters = 0.001;
constexpr Duration kPieceLeast = 10_ms;
constexpr Duration kPieceMost = 1_s;

Duration fall(const NozzleSpec& nozzle, std::int64_t drop_um) {
  return rounded_up(physics::fall_time_s(metres(nozzle.jet_speed_um_per_s), metres(drop_um)) * 1e6);
}

/// A valve that stays open lays its liquid in pieces, so that each container passing under it gets
/// its own: half the least time from nozzle to lid, so that none is laid through a lid.
Duration piece_max(const PlantSpec& spec) {
  const StationsSpec& at = spec.line.stations;
  const bool queued = spec.line.transport == Transport::kQueued;
  const std::int64_t open_um = (queued ? at.seam_um : at.lid_um) - at.nozzle_um;
  const double seconds = static_cast<double>(open_um) / fastest_um_per_s(spec) / 2.0;
  return {std::clamp(static_cast<std::int64_t>(seconds * 1e6), kPieceLeast.raw, kPieceMost.raw)};
}

double landed_share_of(const LossesSpec& losses) {
  return physics::landed_share({losses.flash_percent / 100.0, losses.flight_percent / 100.0,
                                losses.splash_percent / 100.0, 0.0});
}

}  // namespace

Downstream::Downstream(const PlantSpec& spec, Conveyed& conveyed, Upstream& upstream)
    : Bound{{spec, conveyed, upstream}},
      packaging_(spec),
      supply_wires_(spec),
      fall_(fall_to(spec.line.nozzle, 0, spec.product.rim_to_drink_um)),
      wrong_fall_(fall_to(spec.line.nozzle, spec.happens.wrong_container.shorter_um,
                          spec.happens.wrong_container.rim_to_drink_um)),
      piece_max_(piece_max(spec)),
      landed_share_(landed_share_of(spec.line.losses)),
      valve_(spec),
      gate_(spec),
      check_(spec) {
  next_.fill(1);
  if (spec.line.supply) supply_.emplace(spec);
  lanes_.set(kMeasure, supply_wires_.next());
  lanes_.set(kGateMoves, gate_.next());
  set_valve_lanes();
}

Downstream::Fall Downstream::fall_to(const NozzleSpec& nozzle, std::int64_t shorter_um,
                                     std::int64_t rim_to_drink_um) {
  const std::int64_t rim_um = nozzle.height_um + shorter_um;
  return {fall(nozzle, rim_um), fall(nozzle, rim_um + rim_to_drink_um)};
}

const Downstream::Fall& Downstream::fall_into(const Carried& container) const {
  return has_befallen(container, Befell::kWrongContainer) ? wrong_fall_ : fall_;
}

Feedback Downstream::feedback() const {
  Feedback wired;
  const auto comes_back = [&wired](Channel output, Duration soonest) {
    if (soonest.raw == kNever.us) return;
    wired.watched.add(output);
    wired.lookahead = std::min(wired.lookahead, soonest);
  };
  comes_back(Channel::kValve, valve_.lookahead());
  comes_back(Channel::kReject, gate_.lookahead());
  return wired;
}

Instant Downstream::horizon(Instant reached) const {
  return std::min(
      {gate_.horizon(reached), valve_.horizon(), check_.horizon(reached), supply_wires_.horizon()});
}

void Downstream::on_output(const SignalChange& output) {
  const bool on = output.value != 0;
  if (output.channel == Channel::kValve) {
    valve_.command(output.at, on, upstream_.inputs());
    set_valve_lanes();
  }
  if (output.channel == Channel::kSupplyIsolation && supply_) supply_->isolate(output.at, on);
  if (output.channel == Channel::kReject) {
    gate_.command(output.at, on);
    lanes_.set(kGateMoves, gate_.next());
  }
}

void Downstream::hear_chain(Instant at, bool closed) {
  valve_.hear_chain(at, closed);
  set_valve_lanes();
}

void Downstream::set_valve_lanes() {
  lanes_.set(kValveMoves, valve_.next_move());
  lanes_.set(kValveTurns, valve_.next_turn());
}

void Downstream::run(Instant until, RunSink& sink) {
  set_container_lane(kLid);
  set_container_lane(kSeam);
  set_container_lane(kGatePassed);
  for (Due due = lanes_.next(); due.at < until; due = lanes_.next()) {
    const Lane lane = static_cast<Lane>(due.lane);
    switch (lane) {
      case kGateMoves:
        gate_.step(due.at, upstream_.inputs());
        lanes_.set(kGateMoves, gate_.next());
        break;
      case kValveMoves:
        move_valve();
        break;
      case kPieceEnds:
        end_piece(due.at);
        begin_piece({in_flight_.back().shot, in_flight_.back().leak, due.at});
        break;
      case kLands:
        land(due.at);
        break;
      case kLid:
        lay_lid(due.at);
        break;
      case kSeam:
        close(due.at, sink);
        break;
      case kGatePassed:
        pass_gate(due.at, sink);
        break;
      case kValveTurns:
        turn_valve(due.at);
        break;
      case kMeasure:
        supply_wires_.measure(due.at, *supply_, upstream_.inputs());
        lanes_.set(kMeasure, supply_wires_.next());
        break;
      case kLaneCount:
        break;
    }
  }
  retire();
}

void Downstream::move_valve() {
  const ValveMove move = valve_.take_move();
  set_valve_lanes();
  witness(move.at, Channel::kValveActual, move.open ? 1 : 0);
  if (piece_runs()) end_piece(move.at);
  if (move.open) {
    begin_piece({move.shot, false, move.at});
  } else {
    begin_leak(move.at);
  }
}

/// The coil has changed, or a trouble of the valve begins or ends: a leak, perhaps.
void Downstream::turn_valve(Instant at) {
  const std::optional<bool> coil = valve_.turn(at, upstream_.inputs());
  set_valve_lanes();
  if (coil) witness(at, Channel::kValveCoil, *coil ? 1 : 0);
  if (valve_.is_open()) return;
  if (piece_runs()) end_piece(at);
  begin_leak(at);
}

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

void Downstream::lay_lid(Instant at) {
  Carried& container = take_next(kLid);
  packaging_.lay_lid(container, at);
  witness(at, Channel::kLid, container.row.container);
  set_container_lane(kLid);
}

void Downstream::close(Instant at, RunSink& sink) {
  Carried& container = take_next(kSeam);
  packaging_.seam(container, at);
  witness(at, Channel::kSeam, container.row.container);
  if (!has_gate()) {
    container.row.gate_us = at.us;
    write_row(container, sink);
  }
  set_container_lane(kSeam);
}

/// The next container of a station. Those that somebody took away before it come no more.
std::int64_t Downstream::first_left(Lane lane) const {
  const auto gone = [&](const Carried& container) {
    return lane == kGatePassed ? is_taken_away(container)
                               : has_befallen(container, Befell::kTakenBeforeSeam);
  };
  std::int64_t number = next_[static_cast<std::size_t>(lane)];
  while (conveyed_.has(number) && gone(conveyed_[number])) ++number;
  return number;
}

Carried& Downstream::take_next(Lane lane) {
  const std::int64_t number = first_left(lane);
  next_of(lane) = number + 1;
  return conveyed_[number];
}

/// Rows come in the order of release: what was taken away ahead of this one has its row before it.
void Downstream::write_row(const Carried& container, RunSink& sink) {
  for (; next_row_ <= container.row.container; ++next_row_) sink.on_row(conveyed_[next_row_].row);
}

void Downstream::pass_gate(Instant at, RunSink& sink) {
  Carried& container = take_next(kGatePassed);
  LedgerRow& row = container.row;
  row.gate_us = at.us;
  const bool called = gate_.commanded();
  if (gate_.troubled(at)) row.befell |= befell_bit(Befell::kGateTrouble);
  row.removed = gate_.pass(at, row.container, upstream_.inputs()) ? 1 : 0;
  row.flagged = called || row.removed == 1 ? 1 : 0;
  if (spec_.line.pressure_check) {
    const std::int64_t felt_pa = packaging_.felt_pa(container, at);
    if (check_.pass(at, row.container, felt_pa, upstream_.inputs())) {
      row.removed = 1;
      row.befell |= befell_bit(Befell::kPressureEjected);
    }
  }
  witness(at, Channel::kGate, row.removed == 1 ? -row.container : row.container);
  write_row(container, sink);
  set_container_lane(kGatePassed);
}

/// Forgets containers whose rows are written, once the upstream half is done with them too: it may
/// be ahead or behind, as the grants are cut.
void Downstream::retire() {
  while (!conveyed_.empty() && conveyed_.first() < next_row_ &&
         upstream_.has_left(conveyed_.first())) {
    conveyed_.retire_first();
  }
}

void Downstream::finish(RunSink& sink) {
  for (; conveyed_.has(next_row_); ++next_row_) sink.on_row(conveyed_[next_row_].row);
}

/// The upstream half knows the times of lids, seams and the gate before they are due here.
void Downstream::set_container_lane(Lane lane) {
  const std::int64_t number = first_left(lane);
  Instant at = kNever;
  if (conveyed_.has(number)) {
    const Carried& container = conveyed_[number];
    at = lane == kLid ? container.lid : lane == kSeam ? container.seam : container.gate;
  }
  lanes_.set(lane, at);
}

void Downstream::witness(Instant at, Channel channel, std::int64_t value) {
  witnesses_.push_back({at, channel, static_cast<std::int32_t>(value)});
}

}  // namespace rimebench
