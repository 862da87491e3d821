#pragma once

#include <map>
#include <string>

#include "tests/paced/simulated_wire.hpp"

namespace rimebench::test {

/// A paced node with one thing wrong, under the name of the check that is to find it.
std::map<std::string, World> paced_defects();

}  // namespace rimebench::test
