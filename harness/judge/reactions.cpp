#include "harness/judge/reactions.hpp"

namespace rimebench {

Reactions::Reactions(const RunLimits& limits) {
  const auto watch = [this](const std::optional<std::int64_t>& allowed_us, Channel permit,
                            Channel until, const Reaction::Terms& terms) {
    if (allowed_us) watched_.push_back({permit, until, Reaction(terms, *allowed_us)});
  };
  watch(limits.permit_reaction_us_max, Channel::kRunPermit, Channel::kValve,
        {"permit_reaction_us_max", "run permit lost to valve commanded closed"});
  watch(limits.safety_reaction_us_max, Channel::kSafetyChain, Channel::kValve,
        {"safety_reaction_us_max", "safety chain opened to valve commanded closed"});
  watch(limits.safety_closed_us_max, Channel::kSafetyChain, Channel::kValveActual,
        {"safety_closed_us_max", "safety chain opened to valve closed"});
  watch(limits.safety_landed_us_max, Channel::kSafetyChain, Channel::kLanding,
        {"safety_landed_us_max", "safety chain opened to the last liquid landed"});
}

void Reactions::on_change(const SignalChange& change) {
  for (Watched& watched : watched_) {
    if (change.channel == watched.permit) {
      watched.reaction.on_permit(change.at, change.value != 0);
    } else if (change.channel == watched.until) {
      const bool open = watched.until != Channel::kLanding && change.value != 0;
      watched.reaction.on_valve(change.at, open);
    }
  }
}

void Reactions::finish(Instant end, std::vector<Finding>& findings) const {
  for (const Watched& watched : watched_) findings.push_back(watched.reaction.finding(end));
}

}  // namespace rimebench
