#include "plant_model/physics/vessel.hpp"

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {

namespace {

constexpr double kSecondsPerDay = 86'400.0;
constexpr double kSteelJPerKg = 85.0e3;  // 300 K to 77 K

}  // namespace

double drawn_m3_per_s(const Consumption& use) {
  const double kept = (1.0 - use.flash_share) * (1.0 - use.transfer_share);
  return use.dose_kg_per_s / (kLiquidNitrogenKgPerM3 * kept) +
         use.head_W / (kLiquidNitrogenKgPerM3 * kNitrogenLatentJPerKg);
}

double own_boil_off_m3_per_s(const Vessel& vessel) {
  return vessel.boil_off_per_day * vessel.gross_m3 / kSecondsPerDay;
}

double cool_down_kg_per_kg() { return kSteelJPerKg / kNitrogenLatentJPerKg; }

}  // namespace rimebench::physics
