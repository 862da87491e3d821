#pragma once

#include <cstdint>
#include <optional>

#include "firmware_sim/wire/message.hpp"

namespace rimebench {

/// Why a node must not take this grant: `seq` is the number it expects next and `reached` how far
/// it has come. Nothing if the grant is in order. A controller panics on inputs that go backwards,
/// so what a bench sends is looked at first.
std::optional<Refusal> objection(const GrantMessage& grant, std::uint16_t seq, Instant reached);

}  // namespace rimebench
