#pragma once

/// The battery for a paced node: each check looks at one rule of the page's "Paced sessions".

#include "harness/conformance/battery.hpp"
#include "harness/link/paced_node.hpp"

namespace rimebench {

/// Opens a connection to the node anew. Throws StreamError if there is none to be had.
using OpenPaced = std::function<std::unique_ptr<PacedWire>()>;

/// As run_battery. Takes a few seconds: a silence of one is among the rules.
BatteryReport run_paced_battery(const OpenPaced& open, const Patience& patience, bool thorough);

}  // namespace rimebench
