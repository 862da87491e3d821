#pragma once

#include <cstdint>
#include <optional>

#include "firmware_sim/core/container_queue.hpp"

namespace rimebench {

/// What an opening of the valve is for.
enum class ShotKind : std::uint8_t {
  kContainer,  ///< doses the container it names
  kCoolDown,   ///< dries or cools the head; nothing stands under the nozzle
  kStream,     ///< doses containers one behind the other; it names the newest
  kTest,       ///< is caught and weighed by the operator; nothing stands under the nozzle
};

constexpr bool doses(ShotKind kind) {
  return kind == ShotKind::kContainer || kind == ShotKind::kStream;
}

/// What is asked of the guard.
struct ValveRequest {
  bool open = false;
  std::optional<ContainerNumber> container{};  ///< one that doses must name one
  ShotKind kind = ShotKind::kContainer;
};

}  // namespace rimebench
