#pragma once

#define XXH_STATIC_LINKING_ONLY  // the size of the hash's state, so that it needs no heap
#include <xxhash.h>

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/units/quantity.hpp"
#include "harness/trace/bytes.hpp"

namespace rimebench {

/// A signal change as it is hashed and stored: {at int64, channel uint16, 0 uint16, value int32},
/// little-endian.
inline constexpr std::size_t kRecordBytes = 16;

constexpr void encode_record(std::uint8_t* to, const SignalChange& change) {
  store_little_endian(to, change.at.us);
  store_little_endian(to + 8, number(change.channel));
  store_little_endian(to + 10, std::uint16_t{0});
  store_little_endian(to + 12, change.value);
}

constexpr SignalChange decode_record(const std::uint8_t* from) {
  return {Instant{load_little_endian<std::int64_t>(from)},
          static_cast<Channel>(load_little_endian<std::uint16_t>(from + 8)),
          load_little_endian<std::int32_t>(from + 12)};
}

/// What two runs must share to be the same run.
struct RunProof {
  std::uint64_t digest{};   ///< XXH64, seed 0, of the records of inputs and outputs
  std::uint64_t changes{};  ///< their count
  Instant end;              ///< when the run was over

  friend constexpr bool operator==(const RunProof&, const RunProof&) = default;
};

/// Folds the inputs and outputs of a run, in canonical order, into its proof. Witnesses pass by
/// unhashed: what the bench can see but a controller cannot must not change the digest.
class TraceDigest {
 public:
  TraceDigest();

  void add(const SignalChange& change) {
    if (class_of(change.channel) == ChannelClass::kWitness) return;
    if (used_ == waiting_.size()) hash_waiting();
    encode_record(waiting_.data() + used_, change);
    used_ += kRecordBytes;
    ++changes_;
  }

  /// The proof of what was added so far; more may follow.
  RunProof proof(Instant end) const;

 private:
  void hash_waiting();

  XXH64_state_t state_{};
  std::array<std::uint8_t, 256 * kRecordBytes> waiting_{};
  std::size_t used_ = 0;
  std::uint64_t changes_ = 0;
};

/// XXH64, seed 0, of a text.
std::uint64_t text_digest(std::string_view text);

}  // namespace rimebench
