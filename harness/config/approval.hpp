#pragma once

/// Who has approved a limit: it is no use to prove a line against limits that nobody stands for.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace rimebench {

/// Whose a limit is.
enum class LimitOwner : std::uint8_t {
  kContainerMaker,
  kBrandQuality,
  kSafety,
  kMachineSafety,
  kIntegrator,
};

inline constexpr auto kLimitOwnerWords = std::to_array<const char*>(
    {"container maker", "brand quality", "safety", "machine safety", "integrator"});
static_assert(static_cast<std::size_t>(LimitOwner::kIntegrator) + 1 == kLimitOwnerWords.size());

struct Approval {
  std::string limit;                ///< its key
  std::optional<LimitOwner> owner;  ///< none: not approved
  std::string document{};           ///< that it stands in
  std::string date{};               ///< YYYY-MM-DD
  std::string signature{};          ///< name of who signed
};

/// The keys of all limits that can be approved: those of `expect`, and the container's rating.
std::vector<std::string> approvable_limits();

}  // namespace rimebench
