#include "harness/judge/reaction.hpp"

#include <algorithm>

namespace rimebench {

void Reaction::on_permit(Instant at, bool given) {
  permit_ = given;
  if (!given) {
    ++losses_;
    if (!lost_) lost_ = at;
  } else if (!valve_open_) {
    lost_.reset();
  }
}

void Reaction::on_valve(Instant at, bool open) {
  valve_open_ = open;
  if (open || !lost_) return;
  reacted(at);
  if (permit_) lost_.reset();
}

void Reaction::reacted(Instant at) {
  const std::int64_t reaction = (at - *lost_).raw;
  worst_us_ = std::max(worst_us_, reaction);
  if (reaction <= allowed_us_ || breaches_++ > 0) return;
  first_.at = *lost_;
  first_.measured = static_cast<double>(reaction);
}

Finding Reaction::finding(Instant end) const {
  Reaction ended = *this;
  if (lost_ && valve_open_) ended.reacted(end);
  Finding finding;
  finding.name = terms_.name;
  finding.words = terms_.words;
  finding.unit = "us";
  finding.measured = static_cast<double>(ended.worst_us_);
  finding.allowed = static_cast<double>(allowed_us_);
  finding.looked_at = std::max(ended.losses_, ended.breaches_);
  finding.breaches = ended.breaches_;
  if (finding.looked_at == 0) finding.outcome = Outcome::kInconclusive;
  if (ended.breaches_ > 0) {
    finding.outcome = Outcome::kFail;
    finding.first = ended.first_;
  }
  return finding;
}

}  // namespace rimebench
