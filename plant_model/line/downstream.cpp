#include "plant_model/line/downstream.hpp"

#include <algorithm>
#include <array>

#include "plant_model/kernel/motion.hpp"
#include "plant_model/physics/flight.hpp"
#include "plant_model/spec/befell.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

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
    const bool sticks = !valve_.command(output.at, on, upstream_.inputs());
    const Duration half{spec_.recipe.get(Parameter::kOpenUsMin) / 2};
    const Duration opens{spec_.line.valve.open_delay_us};
    if (sticks && on) lanes_.set(kStays, output.at + opens + half + fall_.to_drink);
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
  set_container_lane(kChecked);
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
      case kStays:
        miss(due.at);
        break;
      case kLid:
        lay_lid(due.at);
        break;
      case kSeam:
        close(due.at, sink);
        break;
      case kChecked:
        check_pressure(due.at);
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
    return lane == kGatePassed || lane == kChecked
               ? is_taken_away(container)
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

/// A pressure check with a place of its own reads what passes; what it finds its ejector shall
/// meet.
void Downstream::check_pressure(Instant at) {
  const Carried& container = take_next(kChecked);
  const std::int64_t felt_pa = packaging_.felt_pa(container, at);
  if (check_.pass(at, container.row.container, felt_pa, upstream_.inputs())) check_.strike(at);
  set_container_lane(kChecked);
}

/// The pressure check's ejector takes it as it passes the gate.
bool Downstream::ejected(const Carried& container, Instant at) {
  if (!spec_.line.pressure_check) return false;
  if (spec_.line.pressure_check->at_um > 0) return check_.strikes(at);
  const std::int64_t felt_pa = packaging_.felt_pa(container, at);
  return check_.pass(at, container.row.container, felt_pa, upstream_.inputs());
}

void Downstream::pass_gate(Instant at, RunSink& sink) {
  Carried& container = take_next(kGatePassed);
  LedgerRow& row = container.row;
  row.gate_us = at.us;
  const bool called = gate_.commanded();
  if (gate_.troubled(at)) row.befell |= befell_bit(Befell::kGateTrouble);
  row.removed = gate_.pass(at, row.container, upstream_.inputs()) ? 1 : 0;
  row.flagged = called || row.removed == 1 ? 1 : 0;
  if (ejected(container, at)) {
    row.removed = 1;
    row.befell |= befell_bit(Befell::kPressureEjected);
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
    at = lane == kLid       ? container.lid
         : lane == kSeam    ? container.seam
         : lane == kChecked ? container.check
                            : container.gate;
  }
  lanes_.set(lane, at);
}

void Downstream::witness(Instant at, Channel channel, std::int64_t value) {
  witnesses_.push_back({at, channel, static_cast<std::int32_t>(value)});
}

}  // namespace rimebench
