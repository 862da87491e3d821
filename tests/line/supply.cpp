#include "plant_model/line/supply.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "plant_model/line/room_air.hpp"
#include "plant_model/physics/nitrogen.hpp"
#include "plant_model/physics/room.hpp"
#include "plant_model/physics/valve_flow.hpp"
#include "tests/line/metre_line.hpp"
#include "tests/line/metre_supply.hpp"

using namespace rimebench;
using test::metre_supply;

namespace {

constexpr double kNominalKg = 70e-6;

PlantSpec with(const DosingSupplySpec& supply, const SupplyHappenings& happens = {}) {
  PlantSpec spec = test::metre_line();
  spec.line.supply = supply;
  spec.happens.supply = happens;
  return spec;
}

/// A supply with its isolation valve open, and the plant's spec that it refers to.
struct Opened {
  explicit Opened(const DosingSupplySpec& head, const SupplyHappenings& happens = {})
      : spec(with(head, happens)), supply(spec) {
    supply.isolate(Instant{0}, true);
  }
  Opened(const Opened&) = delete;

  PlantSpec spec;
  Supply supply;
};

/// A shot of 20 ms that would pass 70 mg from the bath's nominal level, a second after the last.
Passed shot(Supply& supply, Instant at) { return supply.shoot(at, at + 20_ms, kNominalKg); }

double unaccounted_kg(const SupplyBooks& books) {
  return books.put_on - books.taken_off - books.in_vessel - books.in_head - books.flashed -
         books.boiled - books.leaked - books.shot;
}

}  // namespace

TEST_CASE("supply: liquid let out of a vessel at 50 kPa loses 3.69 % to flash") {
  // [ln2_flash_fraction]: 0.036947 at 50 kPa gauge, from the reference equation of state.
  DosingSupplySpec spec = metre_supply();
  spec.vessel_kpa = 50.0;
  spec.start_um = 100'000;
  Opened plant(spec);
  Supply& supply = plant.supply;
  supply.advance(Instant{10'000'000});
  const SupplyBooks& books = supply.books();
  const double arrived = books.in_head + books.boiled - 0.1 * 5000e-6 * 806.0845;
  CHECK(arrived == doctest::Approx(0.05));
  CHECK(books.flashed / (books.flashed + arrived) == doctest::Approx(0.036947).epsilon(1e-6));
}

TEST_CASE("supply: a shot follows the root of the level above the nozzle") {
  // Torricelli: 10 mm off a head of 250 mm is 2 % of the dose.
  DosingSupplySpec spec = metre_supply();
  spec.head_w = 0.0;
  spec.full_um = 260'000;
  spec.refill_um = 240'000;
  for (const std::int64_t level : {250'000, 245'000, 255'000, 241'000}) {
    spec.start_um = level;
    Opened plant(spec);
    Supply& supply = plant.supply;
    const Passed passed = supply.shoot(Instant{0}, Instant{20'000}, kNominalKg);
    const double expected = kNominalKg * std::sqrt(static_cast<double>(level) / 250'000.0);
    CHECK(passed.nozzle_kg == doctest::Approx(expected));
    CHECK(passed.vapour_share == 0.0);
  }
}

TEST_CASE("supply: pressure over the bath adds to the level") {
  DosingSupplySpec spec = metre_supply();
  spec.head_w = 0.0;
  spec.start_um = (spec.full_um + spec.refill_um) / 2;
  SupplyHappenings happens;
  happens.head_pressure = {{Instant{1'000'000}, 2_s, 3'000}};
  Opened plant(spec, happens);
  Supply& supply = plant.supply;
  supply.advance(Instant{2'000'000});
  CHECK(supply.head_pa() == doctest::Approx(1'500.0));
  supply.advance(Instant{9'000'000});
  CHECK(supply.head_pa() == 3'000.0);
  const double level_m = supply.level_um() * 1e-6;
  const double vented = physics::driving_Pa(0.0, 0.24);
  const double expected = kNominalKg * std::sqrt(physics::driving_Pa(3'000.0, level_m) / vented);
  CHECK(supply.shoot(Instant{9'000'000}, Instant{9'020'000}, kNominalKg).nozzle_kg ==
        doctest::Approx(expected).epsilon(1e-3));
}

TEST_CASE("supply: the level ripples between its marks and never beyond") {
  Opened plant(metre_supply());
  Supply& supply = plant.supply;
  double least = 1e9;
  double most = 0.0;
  int turns = 0;
  double before = supply.level_um();
  bool rising = false;
  for (std::int64_t us = 100'000; us < 600'000'000; us += 100'000) {
    supply.shoot(Instant{us}, Instant{us + 20'000}, kNominalKg);
    const double level = supply.level_um();
    if (us > 60'000'000) least = std::min(least, level);
    most = std::max(most, level);
    if ((level > before) != rising) ++turns;
    rising = level > before;
    before = level;
  }
  CHECK(most <= 250'000.0 + 1e-6);
  CHECK(least > 229'900.0);  // a shot may fall just short of the mark
  CHECK(turns > 6);
}

TEST_CASE("supply: what left the vessel is shots, flash, boil-off, leak and what the bath holds") {
  SupplyHappenings happens;
  happens.vessel_changes = {{Instant{100'000'000}, 20_s, 40.0}};
  happens.refill_blocked = {{Instant{150'000'000}, 30_s}};
  happens.hose_leaks = {{Instant{200'000'000}, 60_s, 12.0}};
  DosingSupplySpec spec = metre_supply();
  spec.vessel_l = 0.2;
  Opened plant(spec, happens);
  Supply& supply = plant.supply;
  for (std::int64_t us = 1'000'000; us < 400'000'000; us += 100'000) {
    if (us == 300'000'000) supply.isolate(Instant{us}, false);
    supply.shoot(Instant{us}, Instant{us + 20'000}, kNominalKg);
    REQUIRE(std::abs(unaccounted_kg(supply.books())) < 1e-9);
  }
  CHECK(supply.books().leaked == doctest::Approx(60.0 * 0.012));
  CHECK(supply.books().shot > 0.1);
  CHECK(supply.books().boiled > 0.01);
}

TEST_CASE("supply: when it is asked between two shots does not change what the bath holds") {
  SupplyHappenings happens;
  happens.refill_blocked = {{Instant{5'000'000}, 30_s}};
  Opened first(metre_supply(), happens);
  Opened second(metre_supply(), happens);
  Supply& seldom = first.supply;
  Supply& often = second.supply;
  for (std::int64_t us = 0; us <= 100'000'000; us += 70'001) often.advance(Instant{us});
  often.advance(Instant{100'000'000});
  seldom.advance(Instant{100'000'000});
  CHECK(often.level_um() == doctest::Approx(seldom.level_um()).epsilon(1e-9));
}

TEST_CASE("supply: an empty vessel lets the bath run dry, and then no shot gives liquid") {
  DosingSupplySpec spec = metre_supply();
  spec.vessel_l = 0.01;
  Opened plant(spec);
  Supply& supply = plant.supply;
  Instant at{1'000'000};
  while (supply.level_um() > 0.0 && at < Instant{10'000'000'000}) {
    shot(supply, at);
    at = at + 1_s;
  }
  CHECK(supply.books().in_vessel == 0.0);
  CHECK(supply.books().in_head == 0.0);
  CHECK(shot(supply, at).nozzle_kg == 0.0);
  CHECK(shot(supply, at).low_head);
  supply.advance(at + 7200_s);
  CHECK(supply.body_k() > 250.0);  // nothing keeps it cold any more
}

TEST_CASE("supply: with the isolation valve shut nothing leaves the vessel, leak or no leak") {
  SupplyHappenings happens;
  happens.hose_leaks = {{Instant{1'000'000}, 100_s, 50.0}};
  DosingSupplySpec spec = metre_supply();
  spec.start_um = 100'000;
  const PlantSpec plant = with(spec, happens);
  Supply supply(plant);
  supply.advance(Instant{50'000'000});
  CHECK(supply.books().in_vessel == supply.books().put_on - 0.1 * 5000e-6 * 806.0845);
  CHECK(supply.books().leaked == 0.0);
  supply.isolate(Instant{50'000'000}, true);
  supply.advance(Instant{60'000'000});
  CHECK(supply.books().leaked == doctest::Approx(0.5));
  supply.isolate(Instant{60'000'000}, false);
  supply.advance(Instant{90'000'000});
  CHECK(supply.books().leaked == doctest::Approx(0.5));
}

TEST_CASE("supply: just after a vessel change a shot is smaller and part of it is gas") {
  // One per cent of vapour by mass leaves about 0.6 of the flow (homogeneous mixture).
  SupplyHappenings happens;
  happens.vessel_changes = {{Instant{10'000'000}, 60_s, 180.0}};
  DosingSupplySpec spec = metre_supply();
  spec.head_w = 0.0;
  spec.start_um = 240'000;
  spec.hose_vapour_percent = 1.0;
  spec.body_w_per_k = 0.0;
  Opened plant(spec, happens);
  Supply& supply = plant.supply;
  CHECK(shot(supply, Instant{5'000'000}).nozzle_kg > 0.99 * kNominalKg);
  CHECK(shot(supply, Instant{60'000'000}).vapour_share == 0.0);
  const Passed first = shot(supply, Instant{70'000'000});
  CHECK(first.nozzle_kg == doctest::Approx(0.6 * kNominalKg).epsilon(0.03));
  CHECK(first.vapour_share == doctest::Approx(0.01).epsilon(0.01));
  CHECK(shot(supply, Instant{670'000'000}).nozzle_kg > 0.94 * kNominalKg);
}

TEST_CASE("supply: a body that warmed in a break spoils the first shots and is cooled by them") {
  DosingSupplySpec spec = metre_supply();
  Opened plant(spec);
  Supply& supply = plant.supply;
  for (int i = 0; i < 200; ++i)
    supply.shoot(Instant{i * 100'000}, Instant{i * 100'000 + 20'000}, kNominalKg);
  CHECK(supply.body_k() < 79.0);
  Instant at{620'000'000};
  supply.advance(at);
  CHECK(supply.body_k() > 95.0);
  const double first = shot(supply, at).nozzle_kg;
  CHECK(first < 0.75 * kNominalKg);
  double last = first;
  for (int i = 1; i < 300; ++i) {
    at = at + 100_ms;
    last = shot(supply, at).nozzle_kg;
  }
  CHECK(last > 0.95 * kNominalKg);
  CHECK(supply.body_k() < spec.body_cold_k);
}

TEST_CASE("room: 5 m3/h of nitrogen in 300 m3 at two air changes an hour leave 20.78 % of oxygen") {
  // Model figure, steady state of a room with supply ventilation: 0.2095 Q / (Q + R).
  RoomAir room({300.0, 2.0, 1.0, 15.0, 1'000'000, 1, 1});
  const double kg_per_s = 5.0 / 3600.0 * physics::nitrogen_gas_kg_per_m3(101325.0, 293.15);
  for (int i = 0; i < 20 * 3600; ++i) room.advance(1.0, kg_per_s);
  CHECK(room.oxygen_share() == doctest::Approx(0.2078).epsilon(1e-4));
  CHECK(room.shown_ppm() == doctest::Approx(207'770.0).epsilon(1e-4));
}

TEST_CASE("room: a sudden leak lowers the oxygen as the exact solution says, within the step") {
  RoomAir room({300.0, 4.0, 1.0, 0.0, 1'000'000, 1, 1});
  const double kg_per_s = 0.05;
  for (int i = 0; i < 600; ++i) room.advance(1.0, kg_per_s);
  const double gas = kg_per_s / physics::nitrogen_gas_kg_per_m3(101325.0, 293.15);
  const double exact = physics::oxygen_after_supply({300.0, 300.0 * 4.0 / 3600.0, gas}, 600.0);
  CHECK(room.oxygen_share() == doctest::Approx(exact).epsilon(2e-4));
}
