#include "plant_model/line/supply.hpp"

#include <algorithm>
#include <cmath>

#include "plant_model/line/lag.hpp"
#include "plant_model/physics/constants.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/valve_flow.hpp"
#include "plant_model/spec/si.hpp"

namespace rimebench {

namespace {

constexpr double kRoomK = 293.15;
/// A lag in one long step falls behind the exponential; in steps this short it does not.
constexpr Duration kLagStep = 1_s;
/// A shot or two below the refill mark is the ordinary ripple.
constexpr double kLowHeadShare = 0.98;
constexpr double kM2PerMm2 = 1e-6;
constexpr double kM3PerLitre = 1e-3;
constexpr double kKgPerG = 1e-3;

double litres_kg(double litres) { return litres * kM3PerLitre * physics::kLiquidNitrogenKgPerM3; }

/// The entry of a list in time order in whose stretch `at` lies; null if in none.
template <class Stretch>
const Stretch* stretch_at(const std::vector<Stretch>& all, Instant at) {
  for (const Stretch& one : all) {
    if (one.at <= at && at < one.at + one.lasts) return &one;
  }
  return nullptr;
}

template <class Stretch>
Instant next_edge(const std::vector<Stretch>& all, Instant after, Instant limit) {
  for (const Stretch& one : all) {
    if (one.at > after) limit = earlier(limit, one.at);
    if (one.at + one.lasts > after) limit = earlier(limit, one.at + one.lasts);
  }
  return limit;
}

}  // namespace

Supply::Supply(const PlantSpec& spec)
    : spec_(*spec.line.supply),
      happens_(&spec.happens.supply),
      flow_kg_per_s_(spec.line.valve.flow_ug_per_us * kKgPerG),
      full_kg_(kg_at(static_cast<double>(spec_.full_um))),
      refill_kg_(kg_at(static_cast<double>(spec_.refill_um))),
      kept_share_((1.0 - physics::nitrogen_flash_share(spec_.vessel_kpa * 1000.0)) *
                  (1.0 - spec_.transfer_percent / 100.0)),
      body_k_(spec_.body_start_k) {
  const double middle_um = static_cast<double>(spec_.full_um + spec_.refill_um) / 2.0;
  nominal_pa_ = physics::driving_Pa(static_cast<double>(spec_.head_pa), middle_um * kMetresPerUm);
  refill_pa_ = physics::driving_Pa(static_cast<double>(spec_.head_pa),
                                   static_cast<double>(spec_.refill_um) * kMetresPerUm);
  books_.in_vessel = litres_kg(spec_.vessel_l);
  books_.in_head = kg_at(static_cast<double>(spec_.start_um));
  books_.put_on = books_.in_vessel + books_.in_head;
}

double Supply::kg_at(double level_um) const {
  return level_um * kMetresPerUm * spec_.head_mm2 * kM2PerMm2 * physics::kLiquidNitrogenKgPerM3;
}

double Supply::level_um() const { return books_.in_head / kg_at(1.0); }

double Supply::head_pa() const {
  double pa = static_cast<double>(spec_.head_pa);
  for (const HeadPressure& change : happens_->head_pressure) {
    if (now_ < change.at) break;
    const double end = static_cast<double>(change.head_pa);
    const bool over = now_ >= change.at + change.lasts;
    pa = over ? end : pa + (end - pa) * seconds(now_ - change.at) / seconds(change.lasts);
  }
  return pa;
}

void Supply::isolate(Instant at, bool open) {
  advance(at);
  isolation_open_ = open;
}

bool Supply::vessel_on() const { return stretch_at(happens_->vessel_changes, now_) == nullptr; }

double Supply::inflow_kg_per_s() const {
  const bool flows = refilling_ && isolation_open_ && vessel_on() && books_.in_vessel > 0.0 &&
                     stretch_at(happens_->refill_blocked, now_) == nullptr;
  return flows ? spec_.refill_g_per_s * kKgPerG : 0.0;
}

double Supply::leak_kg_per_s() const {
  const HoseLeak* const leak = stretch_at(happens_->hose_leaks, now_);
  const bool flows = leak != nullptr && isolation_open_ && vessel_on() && books_.in_vessel > 0.0;
  return flows ? leak->g_per_s * kKgPerG : 0.0;
}

/// The next moment, not after `limit`, at which something at the supply begins or ends.
Instant Supply::next_turn(Instant limit) const {
  limit = next_edge(happens_->vessel_changes, now_, limit);
  limit = next_edge(happens_->refill_blocked, now_, limit);
  return next_edge(happens_->hose_leaks, now_, limit);
}

/// A vessel that was put on at `at` brings its liquid, and a warm hose its vapour.
void Supply::turn(Instant at) {
  for (const VesselChange& change : happens_->vessel_changes) {
    if (change.at == at) {
      books_.taken_off += books_.in_vessel;
      books_.in_vessel = 0.0;
    }
    if (change.at + change.lasts == at) {
      books_.in_vessel = litres_kg(change.vessel_l);
      books_.put_on += books_.in_vessel;
      hose_vapour_ = spec_.hose_vapour_percent / 100.0;
    }
  }
}

void Supply::advance(Instant at) {
  while (now_ < at) {
    const Instant to = next_turn(earlier(at, now_ + kLagStep));
    const double dt = seconds(to - now_);
    const bool wet = books_.in_head > 0.0;
    follow(body_k_, wet ? spec_.body_idle_k : kRoomK, dt, spec_.body_warm_s);
    follow(hose_vapour_, 0.0, dt, spec_.hose_settle_s);
    fill_and_boil(dt);
    now_ = to;
    turn(now_);
  }
}

void Supply::fill_and_boil(double seconds_left) {
  while (seconds_left > 0.0) seconds_left -= fill_and_boil_once(seconds_left);
}

/// Goes on with constant rates for at most `most_s`: until the bath reaches the mark at which its
/// rates change, or the vessel is empty. Returns how long.
double Supply::fill_and_boil_once(double most_s) {
  if (books_.in_head <= refill_kg_) refilling_ = true;
  if (books_.in_head >= full_kg_) refilling_ = false;
  const double in = inflow_kg_per_s();
  const double leak = leak_kg_per_s();
  const double boil = books_.in_head > 0.0 ? spec_.head_w / physics::kNitrogenLatentJPerKg : 0.0;
  const double net = in - boil;
  const double out_of_vessel = in / kept_share_ + leak;
  double step = most_s;
  double head_end = books_.in_head + net * step;
  bool vessel_ends = false;
  const double mark = net > 0.0 ? full_kg_ : refilling_ ? 0.0 : refill_kg_;
  if (net != 0.0 && (net > 0.0 ? head_end >= mark : head_end <= mark)) {
    step = (mark - books_.in_head) / net;
    head_end = mark;
  }
  if (out_of_vessel > 0.0 && out_of_vessel * step >= books_.in_vessel) {
    step = books_.in_vessel / out_of_vessel;
    head_end = books_.in_head + net * step;
    vessel_ends = true;
  }
  books_.in_vessel = vessel_ends ? 0.0 : books_.in_vessel - out_of_vessel * step;
  books_.flashed += in * step * (1.0 / kept_share_ - 1.0);
  books_.leaked += leak * step;
  books_.boiled += boil * step;
  books_.in_head = head_end;
  return step;
}

/// By mass, of what goes through the valve: what the hose brings, and what a warm body boils.
double Supply::vapour_share(double nominal_kg_per_s) const {
  const double warm_k = std::max(0.0, body_k_ - spec_.body_cold_k);
  const double boiled =
      spec_.body_w_per_k * warm_k / (nominal_kg_per_s * physics::kNitrogenLatentJPerKg);
  return std::min(1.0, hose_vapour_ + boiled);
}

Passed Supply::shoot(Instant opened, Instant closed, double nominal_kg) {
  advance(closed);
  const double open_s = seconds(closed - opened);
  if (open_s <= 0.0 || books_.in_head <= 0.0) return {0.0, 0.0, true};
  const double driving = physics::driving_Pa(head_pa(), level_um() * kMetresPerUm);
  const double vapour = vapour_share(nominal_kg / open_s);
  const double asked = nominal_kg * std::sqrt(std::max(0.0, driving) / nominal_pa_) *
                       physics::two_phase_factor(vapour);
  const double passed = std::min(asked, books_.in_head);
  const bool low = driving < kLowHeadShare * refill_pa_;
  books_.in_head -= passed;
  books_.shot += passed;
  const double full_flow_s = nominal_kg / flow_kg_per_s_;
  follow(body_k_, physics::kNitrogenBoilingK, full_flow_s, spec_.body_cool_s);
  return {passed, vapour, low};
}

}  // namespace rimebench
