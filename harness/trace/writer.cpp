#include "harness/trace/writer.hpp"

#include <array>
#include <utility>

namespace rimebench {

TraceWriter::TraceWriter(std::filesystem::path file, std::uint64_t seed, std::string scenario)
    : output_(std::move(file)) {
  pending_rows_.reserve(kRowsPerBlock);
  Bytes preamble(kTraceMagic.begin(), kTraceMagic.end());
  append(preamble, kTraceVersion);
  append(preamble, std::uint32_t{0});
  output_.write(preamble);
  write_block(BlockKind::kHeader, encode_header(make_trace_header(seed, std::move(scenario))));
}

TraceWriter::~TraceWriter() {
  if (ended_) return;
  try {
    flush_changes();
    flush_rows();
  } catch (const TraceError&) {
    // The run has broken off already and says why; what is on disk stays readable as it is.
    ended_ = true;
  }
}

void TraceWriter::write_block(BlockKind kind, std::span<const std::uint8_t> payload) {
  DEMAND(!ended_ && payload.size() <= kPayloadBytesMax);
  std::array<std::uint8_t, kBlockHeadBytes> head{};
  store_little_endian(head.data(), static_cast<std::uint32_t>(kind));
  store_little_endian(head.data() + 4, static_cast<std::uint32_t>(payload.size()));
  store_little_endian(head.data() + 8, block_crc(kind, payload));
  // After a failed write half a block may stand in the file: whatever followed would be unreadable.
  ended_ = true;
  output_.write(head);
  output_.write(payload);
  ended_ = false;
}

void TraceWriter::flush_changes() {
  if (changes_used_ == 0) return;
  write_block(BlockKind::kChanges,
              std::span(changes_).first(std::exchange(changes_used_, std::size_t{0})));
}

void TraceWriter::flush_rows() {
  if (pending_rows_.empty()) return;
  write_block(BlockKind::kLedger, encode_rows(pending_rows_));
  rows_ += pending_rows_.size();
  pending_rows_.clear();
}

void TraceWriter::close(const RunProof& proof, std::uint64_t exchanges) {
  flush_changes();
  flush_rows();
  write_block(BlockKind::kFooter, encode_footer({records_, rows_, proof, exchanges}));
  ended_ = true;
  output_.close();
}

}  // namespace rimebench
