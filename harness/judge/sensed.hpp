#pragma once

#include "plant_model/spec/ledger.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

/// Whether a sensor wired on this line could have told the controller that this container is bad:
/// what it is bad by against what is wired. It says what is possible, not what any controller does.
bool sensed(const LedgerRow& row, const PlantSpec& plant);

}  // namespace rimebench
