#include "firmware_sim/units/demand.hpp"
#include "harness/trace/reader.hpp"
#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

namespace {

/// Pieces as blocks with a right checksum, behind a right preamble: what a fuzzer cannot guess.
Bytes blocks_of(Input bytes) {
  Bytes file(kTraceMagic.begin(), kTraceMagic.end());
  append(file, kTraceVersion);
  append(file, std::uint32_t{0});
  for (Pieces pieces(bytes); !pieces.done();) {
    const auto kind = static_cast<BlockKind>(pieces.byte());
    const Input payload = pieces.piece(65'535);
    append(file, static_cast<std::uint32_t>(kind));
    append(file, static_cast<std::uint32_t>(payload.size()));
    append(file, block_crc(kind, payload));
    file.insert(file.end(), payload.begin(), payload.end());
  }
  return file;
}

void read_all(const Bytes& bytes) {
  const MemoryFile file(bytes);
  try {
    TraceReader reader(file.path());
    std::optional<SignalChange> last;
    while (reader.next()) {
      for (const SignalChange& change : reader.changes()) {
        DEMAND(!last || canonical_before(*last, change));
        last = change;
      }
    }
  } catch (const TraceError& error) {
    DEMAND(std::string(error.what()).find(file.path()) == 0);
  }
}

}  // namespace

/// A trace is read as far as it is whole, or refused with its name.
void trace_file(Input bytes) {
  read_all({bytes.begin(), bytes.end()});
  read_all(blocks_of(bytes));
}

}  // namespace rimebench::fuzz
