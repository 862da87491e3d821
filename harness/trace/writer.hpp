#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "firmware_sim/units/demand.hpp"
#include "harness/trace/format.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

/// Stores a run while it happens, in constant memory. The file grows block by block as
/// FILE.partial, each block readable once written, and takes its name on close(). A writer that is
/// destroyed unclosed, because the run broke off, leaves FILE.partial with all it was given and no
/// footer. Failures are TraceErrors.
class TraceWriter {
 public:
  TraceWriter(std::filesystem::path file, std::uint64_t seed, std::string scenario);
  TraceWriter(const TraceWriter&) = delete;
  TraceWriter& operator=(const TraceWriter&) = delete;
  ~TraceWriter();

  /// Of all three classes, in canonical order; a change out of order is a bug and panics.
  void add(const SignalChange& change) {
    DEMAND(records_ == 0 || canonical_before(last_, change));
    last_ = change;
    ++records_;
    encode_record(changes_.data() + changes_used_, change);
    changes_used_ += kRecordBytes;
    if (changes_used_ == changes_.size()) flush_changes();
  }

  void add(const LedgerRow& row) {
    pending_rows_.push_back(row);
    if (pending_rows_.size() >= kRowsPerBlock) flush_rows();
  }

  /// Ends the run; nothing may be added after it.
  void close(const RunProof& proof, std::uint64_t exchanges);

 private:
  static constexpr std::size_t kChangesBytesPerBlock = std::size_t{64} * 1024;
  static constexpr std::size_t kRowsPerBlock = 512;

  void write_block(BlockKind kind, std::span<const std::uint8_t> payload);
  void flush_changes();
  void flush_rows();

  OutputFile output_;
  Bytes changes_ = Bytes(kChangesBytesPerBlock);
  std::size_t changes_used_ = 0;
  SignalChange last_;
  std::vector<LedgerRow> pending_rows_;
  std::uint64_t records_ = 0;
  std::uint64_t rows_ = 0;
  bool ended_ = false;  ///< closed, or a write failed: nothing more may follow
};

}  // namespace rimebench
