#pragma once

#include <string>

#include "harness/judge/text_look.hpp"
#include "harness/judge/verdict.hpp"

namespace rimebench {

/// The verdict for people: what ran, pass or fail and why, the pressures by place, what passed the
/// gate. `repeat` is the command that runs it again.
std::string to_terminal(const Scenario& scenario, const Verdict& verdict, const std::string& repeat,
                        const TextLook& look = {});

}  // namespace rimebench
