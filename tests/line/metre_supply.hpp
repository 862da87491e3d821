#pragma once

#include "plant_model/spec/dosing_supply.hpp"

namespace rimebench::test {

/// A vented bath of 50 cm2, refilled between 230 and 250 mm; invented figures.
inline DosingSupplySpec metre_supply() {
  return {.vessel_l = 180.0,
          .vessel_kpa = 20.0,
          .transfer_percent = 0.0,
          .refill_g_per_s = 5.0,
          .head_mm2 = 5'000.0,
          .full_um = 250'000,
          .refill_um = 230'000,
          .start_um = 250'000,
          .head_pa = 0,
          .head_w = 20.0,
          .body_start_k = 78.0,
          .body_idle_k = 120.0,
          .body_cold_k = 85.0,
          .body_warm_s = 600.0,
          .body_cool_s = 2.0,
          .body_w_per_k = 0.5,
          .hose_vapour_percent = 2.0,
          .hose_settle_s = 60.0,
          .sample_us = 1'000'000,
          .sample_delay_us = 100'000,
          .level_step_um = 1'000,
          .pressure_step_pa = 100,
          .body_step_mk = 500,
          .ready_um = 0};
}

}  // namespace rimebench::test
