#include "firmware_sim/units/demand.hpp"
#include "harness/config/csv_table.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

/// Every number that a table gives lies in its column's range.
void csv_text(Input bytes) {
  Diagnostics diagnostics;
  auto table = CsvTable::parse("table.csv", std::string(bytes.begin(), bytes.end()), diagnostics);
  if (!table) {
    DEMAND(!diagnostics.empty());
    return;
  }
  const CsvColumn time{"time_s", "s", 0.0, 1e6};
  const CsvColumn mass{"mass_g", "g", -5.0, 5.0, false};
  for (const CsvColumn& column : {time, mass}) {
    for (const double number : table->numbers(column, diagnostics)) {
      DEMAND(column.min <= number && number <= column.max);
    }
  }
  table->yes_no("shaken", diagnostics);
  table->refuse_the_rest(diagnostics);
  // Twenty, and that there are more.
  DEMAND(in_file_order(diagnostics).size() <= 21);
}

}  // namespace rimebench::fuzz
