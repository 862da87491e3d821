#include "plant_model/physics/headspace.hpp"

#include <cmath>

#include "plant_model/physics/constants.hpp"

namespace rimebench::physics {
namespace {

/// Headspace volumes the vapour would fill at the cold temperature.
double cold_volumes(const OpenHeadspace& open, double evaporated_kg) {
  return evaporated_kg * kGasConstant * open.cold_gas_K /
         (kNitrogenMolarKg * open.ambient_Pa * open.volume_m3);
}

double swept_gas_K(const HeadspaceGas& start, const OpenHeadspace& open, double cold) {
  const double warmth = 1.0 - open.cold_gas_K / start.gas_K;
  return open.cold_gas_K / (1.0 - warmth * std::exp(-cold));
}

}  // namespace

double sweep_volumes(const HeadspaceGas& start, const OpenHeadspace& open, double evaporated_kg) {
  const double cold = cold_volumes(open, evaporated_kg);
  return cold + std::log(start.gas_K / swept_gas_K(start, open, cold));
}

HeadspaceGas swept(const HeadspaceGas& start, const OpenHeadspace& open, double evaporated_kg,
                   double seconds) {
  const double cold = cold_volumes(open, evaporated_kg);
  const double gas_K = swept_gas_K(start, open, cold);
  const double out = open.sweep_efficiency * (cold + std::log(start.gas_K / gas_K));
  const double in = open.air_ingress_m3_per_s * seconds / open.volume_m3;
  const double left = std::exp(-(out + in));
  const double settled = in > 0.0 ? in / (out + in) : 0.0;
  return {settled + (start.air_fraction - settled) * left, gas_K, start.co2_fraction * left};
}

HeadspaceGas flushed(const HeadspaceGas& before, const LidFlush& flush) {
  const double kept = 1.0 - flush.share;
  // At one pressure moles per volume go as 1/T, so both parts weigh by share / T.
  const double kept_moles = kept / before.gas_K;
  const double new_moles = flush.share / flush.gas_K;
  const double kept_share = kept_moles / (kept_moles + new_moles);
  return {before.air_fraction * kept_share, 1.0 / (kept_moles + new_moles),
          before.co2_fraction * kept_share + (flush.carbon_dioxide ? 1.0 - kept_share : 0.0)};
}

}  // namespace rimebench::physics
