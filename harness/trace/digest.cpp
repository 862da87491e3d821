#include "harness/trace/digest.hpp"

namespace rimebench {

TraceDigest::TraceDigest() { XXH64_reset(&state_, 0); }

void TraceDigest::hash_waiting() {
  XXH64_update(&state_, waiting_.data(), used_);
  used_ = 0;
}

RunProof TraceDigest::proof(Instant end) const {
  XXH64_state_t state = state_;
  XXH64_update(&state, waiting_.data(), used_);
  return {XXH64_digest(&state), changes_, end};
}

std::uint64_t text_digest(std::string_view text) { return XXH64(text.data(), text.size(), 0); }

}  // namespace rimebench
