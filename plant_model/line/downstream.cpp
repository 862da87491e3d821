#include "plant_model/line/downstream.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "plant_model/kernel/motion.hpp"
#include "plant_model/kernel/random.hpp"
#include "plant_model/line/defects.hpp"
#include "plant_model/line/sources.hpp"
#include "plant_model/physics/flight.hpp"

namespace rimebench {

namespace {

constexpr double kMetresPerUm = 1e-6;
constexpr double kKgPerUg = 1e-9;
/// Delays and flow vary by at most this many deviations, so that feedback has a least delay.
constexpr double kDeviationMax = 3.0;
constexpr Duration kConfirmWidth = 5_ms;
constexpr Duration kPieceLeast = 10_ms;
constexpr Duration kPieceMost = 1_s;

double metres(std::int64_t um) { return static_cast<double>(um) * kMetresPerUm; }

double deviation(std::uint32_t word) {
  return std::clamp(standard_normal(word), -kDeviationMax, kDeviationMax);
}

Duration varied(std::int64_t delay_us, double deviations, std::int64_t sd_us) {
  if (kDefectNoValveDelay) return {0};
  const double jitter = deviations * static_cast<double>(sd_us);
  const auto whole = static_cast<std::int64_t>(jitter < 0.0 ? jitter - 0.5 : jitter + 0.5);
  return {std::max<std::int64_t>(0, delay_us + whole)};
}

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
      to_rim_(fall(spec.line.nozzle, spec.line.nozzle.height_um)),
      to_drink_(fall(spec.line.nozzle, spec.line.nozzle.height_um + spec.product.rim_to_drink_um)),
      piece_max_(piece_max(spec)),
      landed_share_(landed_share_of(spec.line.losses)) {
  next_.fill(1);
  if (spec.line.supply) supply_.emplace(*spec.line.supply, spec.happens.supply);
  lanes_.set(kMeasure, supply_wires_.next());
}

Duration Downstream::lookahead() const {
  const ValveSpec& valve = spec_.line.valve;
  Duration least{kNever.us};
  if (valve.feedback_delay_us > 0) {
    const Duration opens = varied(valve.open_delay_us, -kDeviationMax, valve.jitter_sd_us);
    const Duration closes = varied(valve.close_delay_us, -kDeviationMax, valve.jitter_sd_us);
    least = std::min(least, std::min(opens, closes) + Duration{valve.feedback_delay_us});
  }
  const std::int64_t confirm = spec_.line.gate.confirm_delay_us;
  if (has_gate() && confirm > 0) least = std::min(least, Duration{confirm});
  return least;
}

Instant Downstream::horizon(Instant reached) const {
  return earlier(confirm_horizon(reached), supply_wires_.horizon());
}

/// While the gate is commanded, removals may be confirmed at any moment.
Instant Downstream::confirm_horizon(Instant reached) const {
  const GateSpec& gate = spec_.line.gate;
  if (!has_gate() || gate.confirm_delay_us == 0) return kNever;
  const bool may_be_out =
      reject_commanded_ || gate_out_ || reached <= reject_ended_ + Duration{gate.delay_us};
  return may_be_out ? reached + Duration{gate.confirm_delay_us} : kNever;
}

void Downstream::on_output(const SignalChange& output) {
  if (output.channel == Channel::kValve) return command_valve(output.at, output.value != 0);
  if (output.channel == Channel::kSupplyIsolation && supply_) {
    return supply_->isolate(output.at, output.value != 0);
  }
  if (output.channel != Channel::kReject) return;
  reject_commanded_ = output.value != 0;
  if (!reject_commanded_) reject_ended_ = output.at;
  gate_moves_.push_back({output.at + Duration{spec_.line.gate.delay_us}, reject_commanded_, 0});
  lanes_.set(kGateMoves, gate_moves_.front().at);
}

void Downstream::command_valve(Instant at, bool open) {
  if (open == valve_commanded_) return;
  valve_commanded_ = open;
  const ValveSpec& valve = spec_.line.valve;
  if (open) ++shots_;
  const RandomBlock words = draw(spec_.seed, static_cast<std::uint32_t>(Source::kValve),
                                 static_cast<std::uint64_t>(shots_), 0);
  const Duration delay =
      open ? varied(valve.open_delay_us, deviation(words[0]), valve.jitter_sd_us)
           : varied(valve.close_delay_us, deviation(words[1]), valve.jitter_sd_us);
  last_valve_move_ = later(at + delay, last_valve_move_ + 1_us);
  valve_moves_.push_back({last_valve_move_, open, shots_});
  lanes_.set(kValveMoves, valve_moves_.front().at);
  if (valve.feedback_delay_us > 0) {
    upstream_.inputs().put({last_valve_move_ + Duration{valve.feedback_delay_us},
                            Channel::kValveFeedback, open ? 1 : 0});
  }
}

void Downstream::run(Instant until, RunSink& sink) {
  set_container_lane(kLid);
  set_container_lane(kSeam);
  set_container_lane(kGatePassed);
  for (Due due = lanes_.next(); due.at < until; due = lanes_.next()) {
    const Lane lane = static_cast<Lane>(due.lane);
    switch (lane) {
      case kGateMoves:
        gate_out_ = gate_moves_.pop_front().open;
        lanes_.set(kGateMoves, gate_moves_.empty() ? kNever : gate_moves_.front().at);
        break;
      case kValveMoves:
        move_valve(due.at);
        break;
      case kPieceEnds:
        end_piece(due.at);
        begin_piece(in_flight_.back().shot, due.at);
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

void Downstream::move_valve(Instant at) {
  const Move move = valve_moves_.pop_front();
  lanes_.set(kValveMoves, valve_moves_.empty() ? kNever : valve_moves_.front().at);
  witness(at, Channel::kValveActual, move.open ? 1 : 0);
  if (move.open) {
    begin_piece(move.shot, at);
  } else {
    end_piece(at);
  }
}

void Downstream::begin_piece(std::int64_t shot, Instant at) {
  in_flight_.push_back({shot, at, kNever, 0.0});
  lanes_.set(kPieceEnds, at + piece_max_);
}

void Downstream::end_piece(Instant at) {
  Piece& piece = in_flight_.back();
  const ValveSpec& valve = spec_.line.valve;
  const RandomBlock words = draw(spec_.seed, static_cast<std::uint32_t>(Source::kValve),
                                 static_cast<std::uint64_t>(piece.shot), 0);
  const double flow =
      valve.flow_ug_per_us * (1.0 + deviation(words[2]) * valve.flow_sd_percent / 100.0);
  piece.closed = at;
  piece.nozzle_kg = flow * static_cast<double>((at - piece.opened).raw) * kKgPerUg;
  if (supply_) {
    const Passed passed = supply_->shoot(piece.opened, at, piece.nozzle_kg);
    piece.nozzle_kg = passed.nozzle_kg;
    piece.liquid_share = 1.0 - passed.vapour_share;
  }
  lanes_.clear(kPieceEnds);
  lanes_.set(kLands, in_flight_.front().closed + to_drink_);
}

void Downstream::land(Instant at) {
  const Piece piece = in_flight_.pop_front();
  const bool more = !in_flight_.empty() && in_flight_.front().closed != kNever;
  lanes_.set(kLands, more ? in_flight_.front().closed + to_drink_ : kNever);
  const Length reach{spec_.container.body_um};
  landing_candidate_ = std::max(landing_candidate_, conveyed_.first());
  while (conveyed_.has(landing_candidate_) &&
         past_nozzle(conveyed_[landing_candidate_], piece.opened + to_rim_) > reach) {
    ++landing_candidate_;
  }
  std::int64_t landed_in = -piece.shot;
  for (std::int64_t n = landing_candidate_; conveyed_.has(n); ++n) {
    if (past_nozzle(conveyed_[n], at) < -reach) break;
    if (land_in(conveyed_[n], piece)) landed_in = n;
  }
  witness(at, Channel::kLanding, landed_in);
}

/// Credits the container with its part of the piece; true if any fell in. The nozzle's liquid
/// counts for the container that the middle of the piece meets; only one can.
bool Downstream::land_in(Carried& container, const Piece& piece) {
  const Duration half = halved_floor(piece.closed - piece.opened);
  const Instant middle = piece.opened + half + to_drink_;
  const bool open = container.lid > piece.closed + to_drink_;
  const double share = open ? captured(container, piece) : 0.0;
  const Length offset = past_nozzle(container, middle);
  const Length body_radius{spec_.container.body_um / 2};
  const bool meant = -body_radius <= offset && offset < body_radius;
  if (share == 0.0 && !meant) return false;
  LedgerRow& row = container.row;
  const double landed_kg = piece.nozzle_kg * piece.liquid_share * share * landed_share_;
  packaging_.land(container, middle, landed_kg);
  if (row.shots == 0) {
    row.landing_us = middle.us;
    row.landing_offset_um = offset.raw;
    row.captured_ppm = static_cast<std::int64_t>(share * 1e6 + 0.5);
  }
  if (container.last_shot != piece.shot) ++row.shots;
  container.last_shot = piece.shot;
  if (meant) row.nozzle_ug += static_cast<std::int64_t>(piece.nozzle_kg / kKgPerUg + 0.5);
  row.landed_ug += static_cast<std::int64_t>(landed_kg / kKgPerUg + 0.5);
  return share > 0.0;
}

Length Downstream::past_nozzle(const Carried& container, Instant at) const {
  return upstream_.centre_at(container, at) - Length{spec_.line.stations.nozzle_um};
}

/// Share of the piece that passes the rim and, where it lies further along by then, the surface
/// too.
double Downstream::captured(const Carried& container, const Piece& piece) const {
  const NozzleSpec& nozzle = spec_.line.nozzle;
  const Duration half = halved_floor(piece.closed - piece.opened);
  const Length first = past_nozzle(container, piece.opened + to_rim_);
  const Length last = past_nozzle(container, piece.closed + to_rim_);
  const Length middle = past_nozzle(container, piece.opened + half + to_rim_);
  const Length at_drink = past_nozzle(container, piece.opened + half + to_drink_);
  const double radius = metres(spec_.container.opening_um) / 2.0;
  const double shift = -metres((at_drink - middle).raw);
  // Liquid further out than this meets neither edge: only what lies within is looked at.
  const double jet_radius = metres(nozzle.jet_diameter_um) / 2.0;
  const double reach = radius + jet_radius + std::abs(shift);
  const double from = std::max(-metres(last.raw), -reach);
  const double to = std::min(-metres(first.raw), reach);
  if (from > to) return 0.0;
  const physics::Streak streak{jet_radius, to - from, (from + to) / 2.0, metres(nozzle.lateral_um)};
  const std::array<physics::Plane, 2> planes{{{radius, 0.0}, {radius, shift}}};
  const double share = physics::captured_share(streak, planes, 0.0);
  return last == first ? share : share * streak.length_m / metres((last - first).raw);
}

void Downstream::lay_lid(Instant at) {
  Carried& container = conveyed_[next_of(kLid)++];
  packaging_.lay_lid(container, at);
  witness(at, Channel::kLid, container.row.container);
  set_container_lane(kLid);
}

void Downstream::close(Instant at, RunSink& sink) {
  Carried& container = conveyed_[next_of(kSeam)++];
  packaging_.seam(container, at);
  witness(at, Channel::kSeam, container.row.container);
  if (!has_gate()) {
    container.row.gate_us = at.us;
    sink.on_row(container.row);
  }
  set_container_lane(kSeam);
}

void Downstream::pass_gate(Instant at, RunSink& sink) {
  Carried& container = conveyed_[next_of(kGatePassed)++];
  LedgerRow& row = container.row;
  row.gate_us = at.us;
  row.removed = gate_out_ ? 1 : 0;
  row.flagged = gate_out_ || reject_commanded_ ? 1 : 0;
  witness(at, Channel::kGate, gate_out_ ? -row.container : row.container);
  const std::int64_t confirm = spec_.line.gate.confirm_delay_us;
  if (gate_out_ && confirm > 0) {
    const Instant seen = at + Duration{confirm};
    upstream_.inputs().put({seen, Channel::kRejectConfirmed, 1});
    upstream_.inputs().put({seen + kConfirmWidth, Channel::kRejectConfirmed, 0});
  }
  sink.on_row(row);
  set_container_lane(kGatePassed);
}

/// Forgets containers whose rows are written, once the upstream half is done with them too: it may
/// be ahead or behind, as the grants are cut.
void Downstream::retire() {
  while (!conveyed_.empty() && conveyed_[conveyed_.first()].row.gate_us != 0 &&
         upstream_.has_left(conveyed_.first())) {
    conveyed_.retire_first();
  }
}

void Downstream::finish(RunSink& sink) {
  for (std::int64_t n = conveyed_.first(); conveyed_.has(n); ++n) {
    if (conveyed_[n].row.gate_us == 0) sink.on_row(conveyed_[n].row);
  }
}

/// The upstream half knows the times of lids, seams and the gate before they are due here.
void Downstream::set_container_lane(Lane lane) {
  const std::int64_t number = next_of(lane);
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
