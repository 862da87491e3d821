#pragma once

/// The reject gate with its confirm eye, its air and its bin.
///   command ── delay, troubles ──> out or in ── a container passes ──> removed or not
///                                                    └─> confirm eye, bin full

#include "plant_model/kernel/ring.hpp"
#include "plant_model/line/bound.hpp"
#include "plant_model/line/input_queue.hpp"
#include "plant_model/spec/plant.hpp"

namespace rimebench {

struct GateReferences {
  const PlantSpec& spec_;
};

class Gate : private Bound<GateReferences> {
 public:
  explicit Gate(const PlantSpec& spec);

  void command(Instant at, bool out);
  bool commanded() const { return commanded_; }
  /// Something is wrong with it, or its bin is full.
  bool troubled(Instant at) const;
  /// The next movement, or the next beginning or end of a trouble.
  Instant next() const;
  void step(Instant at, InputQueue& inputs);
  /// A container passes; true if it is removed.
  bool pass(Instant at, std::int64_t container, InputQueue& inputs);

  /// Least time from a command to an input that it causes; kNever's where none is wired.
  Duration lookahead() const;
  /// No input of the gate's that is still to be made comes before this, seen from `reached`.
  Instant horizon(Instant reached) const;

 private:
  const GateTrouble* trouble(GateTroubleKind kind, Instant at) const;
  bool strikes(GateTroubleKind kind, std::uint32_t source, std::int64_t item, Instant at) const;
  void tell(const GateTrouble& trouble, Instant at, bool ends, InputQueue& inputs);
  bool turn(Instant at, InputQueue& inputs);
  bool room_in_bin() const;
  void count_removed(Instant at, InputQueue& inputs);
  bool wired_back() const;

  struct Move {
    Instant at;
    bool out{};
  };

  Ring<Move> moves_{4096};
  bool present_;
  bool commanded_{false};
  bool out_{false};
  Instant last_move_{-1};
  Instant turned_{-1};  ///< trouble edges up to here are done
  std::int64_t in_bin_{0};
  bool bin_full_shown_{false};
};

}  // namespace rimebench
