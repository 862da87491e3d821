#include "harness/trace/reader.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <system_error>
#include <utility>

namespace rimebench {

TraceReader::TraceReader(std::filesystem::path file) : file_(std::move(file)) {
  stream_.reset(std::fopen(file_.c_str(), "rb"));
  if (!stream_) {
    throw TraceError(file_.string() +
                     ": cannot be read: " + std::generic_category().message(errno));
  }
  read_preamble();
  read_header();
}

void TraceReader::refuse(const std::string& problem) const {
  throw TraceError(file_.string() + ": byte " + std::to_string(block_offset_) + ": " + problem);
}

std::size_t TraceReader::read(std::span<std::uint8_t> bytes) {
  const std::size_t got = std::fread(bytes.data(), 1, bytes.size(), stream_.get());
  if (got < bytes.size() && std::ferror(stream_.get()) != 0) {
    refuse("cannot be read further: " + std::generic_category().message(errno));
  }
  offset_ += got;
  return got;
}

void TraceReader::read_preamble() {
  std::array<std::uint8_t, kPreambleBytes> preamble{};
  const std::size_t got = read(preamble);
  const bool magic = std::equal(kTraceMagic.begin(), kTraceMagic.end(), preamble.begin());
  if (got < preamble.size() || !magic) {
    refuse("not a trace: it should begin with RIMETRAC");
  }
  const auto version = load_little_endian<std::uint32_t>(preamble.data() + kTraceMagic.size());
  if (version != kTraceVersion) {
    block_offset_ = kTraceMagic.size();
    refuse("trace format version " + std::to_string(version) + "; this program reads version " +
           std::to_string(kTraceVersion));
  }
}

void TraceReader::read_header() {
  const auto kind = read_block();
  if (!kind) refuse("the trace ends within its header");
  if (*kind != BlockKind::kHeader) refuse("the first block is not a header");
  auto header = decode_header(payload_);
  if (!header) refuse("the header cannot be decoded");
  header_ = std::move(*header);
  const bool ours = std::ranges::equal(
      header_.columns, kLedgerColumns,
      [](const std::string& name, const LedgerColumn& column) { return name == column.name; });
  if (!ours) refuse("the ledger has other columns than this program's");
}

/// The next whole block's payload into payload_; nothing where the file ends first.
std::optional<BlockKind> TraceReader::read_block() {
  block_offset_ = offset_;
  std::array<std::uint8_t, kBlockHeadBytes> head{};
  if (read(head) < head.size()) return std::nullopt;
  const auto kind = static_cast<BlockKind>(load_little_endian<std::uint32_t>(head.data()));
  const auto size = load_little_endian<std::uint32_t>(head.data() + 4);
  const auto crc = load_little_endian<std::uint32_t>(head.data() + 8);
  if (size > kPayloadBytesMax) refuse("damaged: a block of " + std::to_string(size) + " bytes");
  payload_.resize(size);
  if (read(payload_) < size) return std::nullopt;
  if (block_crc(kind, payload_) != crc) refuse("damaged: the block's CRC-32 differs");
  return kind;
}

bool TraceReader::next() {
  changes_.clear();
  rows_.clear();
  if (ended_) return false;
  const auto kind = read_block();
  if (!kind) {
    ended_ = true;
    return false;
  }
  switch (*kind) {
    case BlockKind::kChanges:
      take_changes();
      return true;
    case BlockKind::kLedger:
      take_rows();
      return true;
    case BlockKind::kFooter:
      take_footer();
      ended_ = true;
      return false;
    case BlockKind::kHeader:
      refuse("a second header");
  }
  refuse("a block of unknown kind " + std::to_string(static_cast<std::uint32_t>(*kind)));
}

void TraceReader::take_changes() {
  if (payload_.size() % kRecordBytes != 0) refuse("a block of changes that ends within a record");
  for (std::size_t at = 0; at < payload_.size(); at += kRecordBytes) {
    const SignalChange change = decode_record(payload_.data() + at);
    if (records_read_ > 0 && !canonical_before(last_, change)) {
      refuse("changes out of order at " + std::to_string(change.at.us) + " us");
    }
    last_ = change;
    ++records_read_;
    digest_.add(change);
    changes_.push_back(change);
  }
}

void TraceReader::take_rows() {
  auto rows = decode_rows(payload_);
  if (!rows) refuse("a ledger block that cannot be decoded");
  rows_ = std::move(*rows);
  rows_read_ += rows_.size();
}

void TraceReader::take_footer() {
  const auto footer = decode_footer(payload_);
  if (!footer) refuse("a footer that cannot be decoded");
  const TraceFooter wanted{records_read_, rows_read_, digest_.proof(footer->proof.end),
                           footer->exchanges};
  if (*footer != wanted) refuse("the footer's counts or digest are not those of this trace");
  std::uint8_t beyond{};
  if (read({&beyond, 1}) != 0) {
    block_offset_ = offset_ - 1;
    refuse("bytes after the footer");
  }
  footer_ = footer;
}

}  // namespace rimebench
