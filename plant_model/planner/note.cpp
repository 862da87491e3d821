#include "plant_model/planner/note.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

#include "plant_model/physics/constants.hpp"

namespace rimebench {

bool any_refusal(const PlanNotes& notes) {
  return std::any_of(notes.begin(), notes.end(),
                     [](const PlanNote& note) { return note.severity == Severity::kRefused; });
}

std::string figure(double value, int decimals, const char* unit) {
  std::array<char, 64> text{};
  std::snprintf(text.data(), text.size(), "%.*f", decimals, value);
  return std::string(text.data()) + ' ' + unit;
}

std::string kpa_psi(double pascal) {
  return figure(pascal / 1000.0, 1, "kPa") + " (" +
         figure(pascal / physics::kPascalPerPsi, 1, "psi") + ')';
}

}  // namespace rimebench
