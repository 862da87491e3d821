#pragma once

/// One row a container, all integers, written as it passes the gate.

#include <array>
#include <cstdint>

namespace rimebench {

/// Why a container is bad.
enum class Cause : std::uint8_t {
  kNone,
  kNoDose,
  kLanding,
  kFill,
  kWait,
  kDose,
  kOxygen,
  kDoubleDose,
  kCount
};

inline constexpr auto kCauseNames = std::to_array<const char*>(
    {"none", "no_dose", "landing", "fill", "wait", "dose", "oxygen", "double_dose"});
static_assert(kCauseNames.size() == static_cast<std::size_t>(Cause::kCount));

/// A pressure with no finite answer: the liquid fills the whole container.
inline constexpr std::int64_t kLiquidFullPa = 1'000'000'000;

struct LedgerRow {
  std::int64_t container{};  ///< 1, 2, ... in order of release
  std::int64_t group{};      ///< inline filler: 1, 2, ...; rotary: 0
  std::int64_t head{};       ///< inline filler: 1 is nearest the seamer; rotary: 0
  std::int64_t place{};      ///< 1 + containers of its group ahead of it
  std::int64_t sensor_us{};
  std::int64_t landing_us{};  ///< middle of the landing of its first shot; 0: none
  std::int64_t lid_us{};
  std::int64_t seam_us{};
  std::int64_t gate_us{};  ///< passed the gate (the seam, where there is no gate); 0: never
  std::int64_t wait_us{};  ///< landing to seam; 0: no shot
  std::int64_t shots{};
  std::int64_t
      landing_offset_um{};  ///< middle of the streak against the centre; positive lands behind it
  std::int64_t captured_ppm{};  ///< of the liquid that left the nozzle for it
  std::int64_t nozzle_ug{};
  std::int64_t landed_ug{};
  std::int64_t sealed_ug{};
  std::int64_t fill_ul{};
  std::int64_t
      equilibrium_pa{};      ///< gauge, at the judge's temperature, dissolved gas at equilibrium
  std::int64_t prompt_pa{};  ///< gauge, same temperature, nothing dissolved yet
  std::int64_t hot_equilibrium_pa{};  ///< gauge, at the hot temperature
  std::int64_t hot_prompt_pa{};
  std::int64_t oxygen_ppm{};  ///< by volume, dry headspace at the seam
  std::int64_t tpo_ppb{};     ///< total package oxygen, ug per kg of drink
  std::int64_t flagged{};     ///< 1: the controller called for its rejection
  std::int64_t removed{};     ///< 1: the gate took it out
  std::int64_t bad{};         ///< 1: it breaks a limit of the scenario
  std::int64_t cause{};       ///< a Cause
  std::int64_t befell{};      ///< the disturbances that met it, a set of Befell bits

  friend bool operator==(const LedgerRow&, const LedgerRow&) = default;
};

struct LedgerColumn {
  const char* name;
  std::int64_t LedgerRow::*value;
};

inline constexpr auto kLedgerColumns = std::to_array<LedgerColumn>({
    {"container", &LedgerRow::container},
    {"group", &LedgerRow::group},
    {"head", &LedgerRow::head},
    {"place", &LedgerRow::place},
    {"sensor_us", &LedgerRow::sensor_us},
    {"landing_us", &LedgerRow::landing_us},
    {"lid_us", &LedgerRow::lid_us},
    {"seam_us", &LedgerRow::seam_us},
    {"gate_us", &LedgerRow::gate_us},
    {"wait_us", &LedgerRow::wait_us},
    {"shots", &LedgerRow::shots},
    {"landing_offset_um", &LedgerRow::landing_offset_um},
    {"captured_ppm", &LedgerRow::captured_ppm},
    {"nozzle_ug", &LedgerRow::nozzle_ug},
    {"landed_ug", &LedgerRow::landed_ug},
    {"sealed_ug", &LedgerRow::sealed_ug},
    {"fill_ul", &LedgerRow::fill_ul},
    {"equilibrium_pa", &LedgerRow::equilibrium_pa},
    {"prompt_pa", &LedgerRow::prompt_pa},
    {"hot_equilibrium_pa", &LedgerRow::hot_equilibrium_pa},
    {"hot_prompt_pa", &LedgerRow::hot_prompt_pa},
    {"oxygen_ppm", &LedgerRow::oxygen_ppm},
    {"tpo_ppb", &LedgerRow::tpo_ppb},
    {"flagged", &LedgerRow::flagged},
    {"removed", &LedgerRow::removed},
    {"bad", &LedgerRow::bad},
    {"cause", &LedgerRow::cause},
    {"befell", &LedgerRow::befell},
});
static_assert(sizeof(LedgerRow) == kLedgerColumns.size() * sizeof(std::int64_t),
              "every member of LedgerRow is a column");

}  // namespace rimebench
