#pragma once

#include <filesystem>
#include <string>

#include "harness/trace/output_file.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

/// The ledger as CSV: a header row from the column table, then one row a container; the cause by
/// its name. It grows as FILE.partial and takes its name on close(). Failures are TraceErrors.
class LedgerCsvWriter {
 public:
  explicit LedgerCsvWriter(std::filesystem::path file);
  LedgerCsvWriter(const LedgerCsvWriter&) = delete;
  LedgerCsvWriter& operator=(const LedgerCsvWriter&) = delete;
  /// Unclosed, because the run broke off: FILE.partial has all rows given.
  ~LedgerCsvWriter();

  void add(const LedgerRow& row);

  /// Ends the file; nothing may be added after it.
  void close();

 private:
  void flush();

  OutputFile output_;
  std::string waiting_;
};

}  // namespace rimebench
