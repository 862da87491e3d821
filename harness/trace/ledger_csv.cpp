#include "harness/trace/ledger_csv.hpp"

#include <array>
#include <charconv>
#include <cstddef>
#include <utility>

#include "firmware_sim/units/demand.hpp"
#include "plant_model/spec/befell.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kFlushBytes = std::size_t{64} * 1024;

void append_number(std::string& text, std::int64_t value) {
  std::array<char, 20> digits{};
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  text.append(digits.data(), end.ptr);
}

const char* cause_name(std::int64_t cause) {
  DEMAND(cause >= 0 && cause < static_cast<std::int64_t>(Cause::kCount));
  return kCauseNames[static_cast<std::size_t>(cause)];
}

}  // namespace

LedgerCsvWriter::LedgerCsvWriter(std::filesystem::path file) : output_(std::move(file)) {
  for (const LedgerColumn& column : kLedgerColumns) {
    waiting_ += column.name;
    waiting_ += ',';
  }
  waiting_.back() = '\n';
}

LedgerCsvWriter::~LedgerCsvWriter() {
  if (waiting_.empty()) return;
  try {
    flush();
  } catch (const TraceError&) {
    // The run has broken off already and says why; what is on disk stays readable as it is.
    waiting_.clear();
  }
}

void LedgerCsvWriter::add(const LedgerRow& row) {
  for (const LedgerColumn& column : kLedgerColumns) {
    if (column.value == &LedgerRow::cause) {
      waiting_ += cause_name(row.cause);
    } else if (column.value == &LedgerRow::befell) {
      waiting_ += befell_text(row.befell);
    } else {
      append_number(waiting_, row.*column.value);
    }
    waiting_ += ',';
  }
  waiting_.back() = '\n';
  if (waiting_.size() >= kFlushBytes) flush();
}

void LedgerCsvWriter::flush() {
  const std::string text = std::exchange(waiting_, {});
  output_.write(text);
}

void LedgerCsvWriter::close() {
  flush();
  output_.close();
}

}  // namespace rimebench
