#include "harness/link/refusal_text.hpp"

namespace rimebench {

const char* meaning(Refusal reason) {
  switch (reason) {
    case Refusal::kDamaged:
      return "the frame arrived damaged";
    case Refusal::kMessage:
      return "not a message it takes";
    case Refusal::kVersion:
      return "it does not speak this protocol version";
    case Refusal::kNoSession:
      return "no session has begun";
    case Refusal::kSequence:
      return "the sequence number does not follow";
    case Refusal::kTime:
      return "the grant does not reach past the instant already reached";
    case Refusal::kTooMany:
      return "more changes than its capacity";
    case Refusal::kOrder:
      return "a change out of order";
    case Refusal::kChannel:
      return "a channel that does not lead to the controller";
  }
  return "an unknown reason";
}

}  // namespace rimebench
