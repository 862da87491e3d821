#include "plant_model/physics/oxygen.hpp"

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {

double total_package_oxygen_ppb(const Sealed& sealed) {
  return 1.0e9 * kOxygenMolarKg * sealed.o2.total() / sealed.drink_kg;
}

double dissolved_oxygen_ppb(const Sealed& sealed) {
  return 1.0e9 * kOxygenMolarKg * sealed.o2.dissolved / sealed.drink_kg;
}

double headspace_oxygen_share(const Sealed& sealed) {
  return sealed.o2.gas / (sealed.n2.gas + sealed.o2.gas + sealed.co2.gas);
}

}  // namespace rimebench::physics
