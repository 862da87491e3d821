#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace rimebench {

/// Refused: no recipe. Warned: it must be settled before the line runs. Caution: to be known.
enum class Severity : std::uint8_t { kRefused, kWarned, kCaution };

/// One thing that the plan has to say about a key of its file.
struct PlanNote {
  Severity severity{};
  std::string key;  ///< dotted, as in the plan file
  std::string text;
  std::string nearest;  ///< the nearest value that would do; empty if there is none
};

using PlanNotes = std::vector<PlanNote>;

bool any_refusal(const PlanNotes& notes);

/// "12.3 mg": a figure with its unit.
std::string figure(double value, int decimals, const char* unit);

/// "207.0 kPa (30.0 psi)".
std::string kpa_psi(double pascal);

}  // namespace rimebench
