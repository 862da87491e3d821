#pragma once

/// Packs of a line whose constants are known to the test alone, pierced as on a commissioning day.

#include <vector>

#include "plant_model/kernel/random.hpp"
#include "plant_model/planner/trim_fit.hpp"

namespace rimebench {

/// `per_place` packs of every place, dosed by `recipe`, each with its own valve, boil-off, gas and
/// fill (the scenario's scatter), weighed to 0.1 g and read to 1 kPa.
inline std::vector<PackReading> pierced_packs(const PlantSpec& spec, const LineConstants& truth,
                                              const RecipeValues& recipe, int per_place,
                                              std::uint64_t seed) {
  constexpr std::uint32_t kPackNoise = 7;
  std::vector<PackReading> packs;
  for (int place = 1; place <= spec.recipe.get(Parameter::kPlaceCount); ++place) {
    for (int i = 0; i < per_place; ++i) {
      RandomStream noise(seed, kPackNoise, packs.size());
      const double wait_s = expected_wait_s(spec, place);
      const double open_us = open_us_of(recipe, recipe_dose_ug(recipe, wait_s));
      LineConstants own = truth;
      own.valve_bias *= 1.0 + noise.normal() * spec.line.valve.flow_sd_percent / 100.0;
      own.tau_s *= 1.0 + noise.normal() * spec.line.boil_off.sd_percent / 100.0;
      PlantSpec colder = spec;
      colder.line.headspace.cold_gas_k += noise.normal() * spec.line.headspace.gas_sd_k;
      const TrimLine line(colder, own);
      const double drink_kg =
          line.nominal_drink_kg() * (1.0 + noise.normal() * spec.product.fill_sd_ml / 355.0);
      PackReading pack{place, open_us, 0.0, 19.0 + 2.0 * noise.uniform(), 30.0, true, 2.0, 0.0};
      // The recipe in use turns an open time back into a dose, whichever recipe it was dosed by.
      const auto sealed = line.sealed(dose_ug_of(spec.recipe, open_us), wait_s, drink_kg);
      const auto reading = expected_reading_Pa(*sealed, 1.0, pack, line.at(pack.pack_c));
      pack.gauge_Pa = *reading + 1000.0 * noise.normal();
      pack.fill_g = 1000.0 * drink_kg + 0.1 * noise.normal();
      packs.push_back(pack);
    }
  }
  return packs;
}

}  // namespace rimebench
