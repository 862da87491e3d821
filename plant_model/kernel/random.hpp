#pragma once

#include <array>
#include <cstdint>

#include "plant_model/kernel/distributions.hpp"

/// Chance as a function, not as a sequence: a draw depends on what it is for, never on what was
/// drawn before it.
///
///   seed ────────────────────────> key     ┐
///   source (which cause)           counter ├─> Philox4x32-10 ─> four 32-bit words
///   item (container or occurrence) counter │
///   draw (0, 1, 2 ...)             counter ┘
///
/// So adding a cause, or asking one cause for one draw more, shifts no other, and containers can be
/// computed in any order. Source numbers stand in one table elsewhere and are never reused.
/// After J. Salmon, M. Moraes, R. Dror, D. Shaw, "Parallel random numbers: as easy as 1, 2, 3",
/// SC11.
namespace rimebench {

/// One counter, or what it gives: four independent 32-bit words.
using RandomBlock = std::array<std::uint32_t, 4>;
using RandomKey = std::array<std::uint32_t, 2>;

/// Philox with four words of 32 bits and ten rounds.
constexpr RandomBlock philox4x32_10(RandomBlock counter, RandomKey key) {
  constexpr std::uint64_t kMultiplier0 = 0xD2511F53;
  constexpr std::uint64_t kMultiplier1 = 0xCD9E8D57;
  constexpr std::uint32_t kWeyl0 = 0x9E3779B9;
  constexpr std::uint32_t kWeyl1 = 0xBB67AE85;
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t product0 = kMultiplier0 * counter[0];
    const std::uint64_t product1 = kMultiplier1 * counter[2];
    counter = {static_cast<std::uint32_t>(product1 >> 32) ^ counter[1] ^ key[0],
               static_cast<std::uint32_t>(product1),
               static_cast<std::uint32_t>(product0 >> 32) ^ counter[3] ^ key[1],
               static_cast<std::uint32_t>(product0)};
    key[0] += kWeyl0;
    key[1] += kWeyl1;
  }
  return counter;
}

/// The four words of one draw. Use them all before asking for the next: a block costs what a word
/// would.
constexpr RandomBlock draw(std::uint64_t seed, std::uint32_t source, std::uint64_t item,
                           std::uint32_t draw_index) {
  return philox4x32_10({draw_index, source, static_cast<std::uint32_t>(item),
                        static_cast<std::uint32_t>(item >> 32)},
                       {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)});
}

/// The words of draws 0, 1, 2 ... of one source and item, handed out one after the other, four from
/// each block. Cheap to make and to throw away: it holds no more than the counter and one block.
/// Takes at most 2^34 words.
class RandomStream {
 public:
  constexpr RandomStream(std::uint64_t seed, std::uint32_t source, std::uint64_t item)
      : seed_(seed), item_(item), source_(source) {}

  constexpr std::uint32_t word() {
    if (used_ == block_.size()) {
      block_ = draw(seed_, source_, item_, next_draw_++);
      used_ = 0;
    }
    return block_[used_++];
  }

  /// In (0, 1); one word.
  constexpr double uniform() { return rimebench::uniform(word()); }
  /// In (0, 1) with 52 bits; two words.
  constexpr double uniform_fine() {
    const std::uint32_t upper = word();
    return rimebench::uniform_fine(upper, word());
  }
  /// Mean 0, deviation 1; one word.
  double normal() { return standard_normal(word()); }
  /// Mean 1; one word.
  constexpr double exponential() { return standard_exponential(word()); }
  /// True with this chance; one word.
  constexpr bool happens(std::uint32_t chance_ppm) {
    return rimebench::happens(word(), chance_ppm);
  }

 private:
  std::uint64_t seed_;
  std::uint64_t item_;
  std::uint32_t source_;
  std::uint32_t next_draw_ = 0;
  std::uint32_t used_ = 4;
  RandomBlock block_{};
};

}  // namespace rimebench
