#pragma once

/// The trace file, byte by byte. All integers are little-endian.
///
///   preamble   "RIMETRAC", format version uint32, 0 uint32
///   block      kind uint32, payload bytes uint32, CRC-32 uint32, payload
///   block ...
///
/// The CRC-32 (ISO-HDLC) covers kind, size and payload. Texts are a uint32 length and that many
/// bytes. Kinds, in the order they come:
///   header   once: seed uint64; resolved scenario text; count uint32 and for each channel its
///   number
///            uint16, name and unit; count uint32 and the name of each ledger column
///   changes  any number: records of 16 bytes, all three classes, canonical order across blocks
///   ledger   any number, between the former: rows uint32; then column by column, in the header's
///            order, the first row's value and each later row's difference to the one before it
///            (modulo 2^64), as compact integers (see store_compact)
///   footer   once, at the very end: records of all classes uint64, ledger rows uint64, digest
///            uint64, hashed changes uint64, end in us int64, exchanges uint64
///
/// A file without footer is an unfinished run, good as far as its last whole block. Within one kind
/// the order is the run's; how changes and rows interleave tells nothing.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/trace/bytes.hpp"
#include "harness/trace/channel_names.hpp"
#include "harness/trace/digest.hpp"
#include "plant_model/spec/ledger.hpp"

namespace rimebench {

inline constexpr std::array<std::uint8_t, 8> kTraceMagic = {'R', 'I', 'M', 'E', 'T', 'R', 'A', 'C'};
inline constexpr std::uint32_t kTraceVersion = 1;
inline constexpr std::size_t kPreambleBytes = 16;
inline constexpr std::size_t kBlockHeadBytes = 12;
/// No block is longer: a larger size is damage, not a reason to ask for memory.
inline constexpr std::uint32_t kPayloadBytesMax = 1U << 26;

enum class BlockKind : std::uint32_t { kHeader = 1, kChanges, kLedger, kFooter };

/// What a trace says before its first change.
struct TraceHeader {
  std::uint64_t seed{};
  std::string scenario;               ///< resolved: one YAML text without references
  std::vector<ChannelName> channels;  ///< in number order
  std::vector<std::string> columns;   ///< of the ledger
};

/// What a trace says once it is whole.
struct TraceFooter {
  std::uint64_t records{};  ///< of all three classes
  std::uint64_t rows{};
  RunProof proof;
  std::uint64_t exchanges{};  ///< grants answered; tells how the run was cut, proves nothing

  friend bool operator==(const TraceFooter&, const TraceFooter&) = default;
};

/// The header of a trace written now: this version's channels and ledger columns.
TraceHeader make_trace_header(std::uint64_t seed, std::string scenario);

/// Payloads. What cannot be decoded is nothing: the payload is too short, too long or out of range.
Bytes encode_header(const TraceHeader& header);
std::optional<TraceHeader> decode_header(std::span<const std::uint8_t> payload);
Bytes encode_rows(std::span<const LedgerRow> rows);
std::optional<std::vector<LedgerRow>> decode_rows(std::span<const std::uint8_t> payload);
Bytes encode_footer(const TraceFooter& footer);
std::optional<TraceFooter> decode_footer(std::span<const std::uint8_t> payload);

/// The CRC-32 of a block of this kind and payload.
std::uint32_t block_crc(BlockKind kind, std::span<const std::uint8_t> payload);

}  // namespace rimebench
