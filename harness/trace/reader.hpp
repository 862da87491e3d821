#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "harness/trace/digest.hpp"
#include "harness/trace/format.hpp"
#include "harness/trace/stream.hpp"
#include "harness/trace/trace_error.hpp"

namespace rimebench {

/// Reads a trace block by block, in constant memory, however long the run was.
///
///   TraceReader reader("run.trace");
///   while (reader.next()) {
///     for (const SignalChange& change : reader.changes()) ...
///     for (const LedgerRow& row : reader.rows()) ...
///   }
///   if (!reader.complete()) ...   // no footer: the run broke off, or is still being written
///
/// A file that ends in mid-block is read as far as its last whole block. Anything else that is
/// wrong is a TraceError with file and byte offset: another kind of file, another version, a CRC
/// that differs, changes out of order, a footer whose counts or digest do not belong to what was
/// read.
class TraceReader {
 public:
  explicit TraceReader(std::filesystem::path file);

  const TraceHeader& header() const { return header_; }

  /// Goes to the next block of changes or rows; false at the end of what there is.
  bool next();

  /// Of the present block, one of them empty; valid until next().
  std::span<const SignalChange> changes() const { return changes_; }
  std::span<const LedgerRow> rows() const { return rows_; }

  /// True once the footer was read and agrees.
  bool complete() const { return footer_.has_value(); }
  const std::optional<TraceFooter>& footer() const { return footer_; }

  const std::filesystem::path& file() const { return file_; }

 private:
  [[noreturn]] void refuse(const std::string& problem) const;
  void read_preamble();
  void read_header();
  std::size_t read(std::span<std::uint8_t> bytes);
  std::optional<BlockKind> read_block();
  void take_changes();
  void take_rows();
  void take_footer();

  std::filesystem::path file_;
  Stream stream_;
  std::uint64_t offset_ = 0;        ///< of the next byte to read
  std::uint64_t block_offset_ = 0;  ///< of the block at hand
  Bytes payload_;
  TraceHeader header_;
  std::vector<SignalChange> changes_;
  std::vector<LedgerRow> rows_;
  std::optional<TraceFooter> footer_;
  TraceDigest digest_;
  SignalChange last_;
  std::uint64_t records_read_ = 0;
  std::uint64_t rows_read_ = 0;
  bool ended_ = false;
};

}  // namespace rimebench
