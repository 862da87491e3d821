#pragma once

/// The blocks of a plan's text that stand on their own.

#include <string>

#include "plant_model/planner/plan.hpp"

namespace rimebench {

std::string pressures_text(const PlanSpec& spec, const DosePlan& plan);
std::string after_seam_text(const PlanSpec& spec, const DosePlan& plan);
std::string oxygen_text(const DosePlan& plan);
std::string sensitivities_text(const PlanSpec& spec, const DosePlan& plan);
std::string supply_text(const PlanSpec& spec, const DosePlan& plan);
std::string room_text(const PlanSpec& spec, const DosePlan& plan);
std::string nitrogenation_text(const PlanSpec& spec, const DosePlan& plan);
/// One page for the operator.
std::string stops_text(const PlanSpec& spec, const DosePlan& plan);

/// "206.8 (30.0)" in kPa and psi, or "liquid-full".
std::string pressure(const std::optional<double>& gauge_Pa);
inline constexpr double kMlPerFluidOunce = 29.5735295625;
double fahrenheit(double celsius);
/// The text in lines of at most 100 characters, the later ones indented.
std::string wrapped(const std::string& text, std::size_t indent);

inline constexpr const char* kPlanFoot =
    "A model plans a dose, it does not prove a package: the supplier's rating, a trial with "
    "punctured packs,\nlocal codes and licensed practice decide. Liquid nitrogen burns, displaces "
    "oxygen and can burst a closed pack.\n";

}  // namespace rimebench
