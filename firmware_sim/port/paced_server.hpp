#pragma once

#include <iosfwd>

#include "firmware_sim/port/node_server.hpp"

namespace rimebench {

/// Runs the dose controller as a paced node: on the clock of this machine, with a timer armed from
/// the controller's next_wake. Otherwise as serve().
void serve_paced(const ServeAddress& address, bool once, std::ostream& out);

}  // namespace rimebench
