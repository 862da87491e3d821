#include <doctest/doctest.h>

#include <fstream>
#include <set>
#include <sstream>
#include <string>

#include "firmware_sim/contract/fault_table.hpp"

using namespace rimebench;

TEST_CASE("fault page: every fault stands there as in the table, with what the operator must do") {
  std::ifstream file(REPOSITORY_DIR "/firmware_sim/README.md");
  REQUIRE(file);
  std::set<std::string> lines;
  std::size_t rows = 0;
  bool faults = false;
  for (std::string line; std::getline(file, line);) {
    lines.insert(line);
    if (line.starts_with("## ")) faults = line == "## Faults";
    if (faults && line.starts_with("| ") && line[2] >= '0' && line[2] <= '9') ++rows;
  }
  CHECK(rows == kFaultTable.size());
  for (const FaultRow& row : kFaultTable) {
    std::ostringstream expected;
    expected << "| " << static_cast<int>(row.fault) << " | " << row.name << " | " << row.raised
             << " | " << row.clears << " | " << row.operator_action << " |";
    CAPTURE(expected.str());
    CHECK(lines.contains(expected.str()));
  }
}
