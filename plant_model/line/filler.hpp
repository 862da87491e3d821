#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "plant_model/line/bound.hpp"
#include "plant_model/line/carried.hpp"
#include "plant_model/line/sources.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct FillerReferences {
  const PlantSpec& spec_;
};

/// Releases containers by belt travel: a rotary filler one each pitch, an inline filler a group
/// each group pitch. A missing container leaves its place empty. What befalls a container by chance
/// is drawn as it is released.
class Filler : private Bound<FillerReferences> {
 public:
  explicit Filler(const PlantSpec& spec);

  /// Belt travel of the next release.
  Length next_release() const { return next_; }
  /// Most containers that one release appends.
  int release_max() const {
    const bool extra = spec_.happens.of(MishapKind::kExtra).share_ppm > 0;
    return (extra ? 2 : 1) * spec_.line.filler.heads;
  }
  std::int64_t groups() const { return groups_; }
  bool inline_heads() const { return spec_.line.filler.kind == FillerKind::kInline; }

  /// While it pauses it releases nothing; its places go by empty.
  void pause(bool pauses) { pauses_ = pauses; }
  bool pauses() const { return pauses_; }
  void release(Conveyed& conveyed, Instant at);
  /// The way ahead is blocked: this and all later releases come this much later.
  void postpone(Length by) { next_ += by; }

 private:
  void release_group(Conveyed& conveyed);
  Carried& append(Conveyed& conveyed, std::int64_t position, Length offset);
  void append_extra(Conveyed& conveyed, std::int64_t position, Length gap);
  void befall(Carried& container) const;
  bool stands_against_last(const Conveyed& conveyed, std::int64_t position) const;
  bool draws(MishapKind kind, Source source, std::int64_t item) const;
  bool missing(std::int64_t position, int head) const;

  std::int64_t released_positions_{0};  ///< places in the stream, empty ones included
  std::int64_t groups_{0};
  std::int64_t in_group_{0};
  Length next_;
  Instant now_{};
  bool pauses_{false};
};

}  // namespace rimebench
