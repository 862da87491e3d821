#pragma once

#include <map>
#include <string>

#include "tests/conformance/double_node.hpp"

namespace rimebench::test {

/// A node with one thing wrong, under the name of the check that is to find it.
std::map<std::string, Defect> defects();

}  // namespace rimebench::test
