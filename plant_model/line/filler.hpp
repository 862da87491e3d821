#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "plant_model/line/bound.hpp"
#include "plant_model/line/carried.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct FillerReferences {
  const PlantSpec& spec_;
};

/// Releases containers by belt travel: a rotary filler one each pitch, an inline filler a group
/// each group pitch. A missing container leaves its place empty.
class Filler : private Bound<FillerReferences> {
 public:
  explicit Filler(const PlantSpec& spec);

  /// Belt travel of the next release.
  Length next_release() const { return next_; }
  /// Most containers that one release appends.
  int release_max() const { return spec_.line.filler.heads; }
  bool inline_heads() const { return spec_.line.filler.kind == FillerKind::kInline; }

  void release(Conveyed& conveyed);
  /// The way ahead is blocked: this and all later releases come this much later.
  void postpone(Length by) { next_ += by; }

 private:
  void append(Conveyed& conveyed, std::int64_t position, Length offset);
  bool missing(std::int64_t position, int head) const;

  std::int64_t released_positions_{0};  ///< places in the stream, empty ones included
  std::int64_t groups_{0};
  std::int64_t in_group_{0};
  Length next_;
};

}  // namespace rimebench
