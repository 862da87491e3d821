#pragma once

#include "plant_model/physics/package.hpp"

namespace rimebench::physics {

/// Total package oxygen in ppb: micrograms of oxygen, in headspace and drink, per kg of drink.
double total_package_oxygen_ppb(const Sealed& sealed);

/// The part of it that came dissolved in the drink, ppb.
double dissolved_oxygen_ppb(const Sealed& sealed);

/// Oxygen in the dry headspace gas, mole share. With the dose boiled, if `sealed` holds one.
double headspace_oxygen_share(const Sealed& sealed);

}  // namespace rimebench::physics
