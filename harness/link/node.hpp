#pragma once

/// The bench's end of the link: a controller under test, wherever it runs.
///   session ── Grant ──> Node ── Reached ──> session
/// The link is lockstep: one grant, one answer, both stamped in simulated time, so how long the
/// answer takes on the wall clock cannot matter.

#include <cstddef>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>

#include "firmware_sim/contract/feedback.hpp"
#include "firmware_sim/contract/signal_change.hpp"
#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// Leave to run up to `until` (half-open): changes with at < until are delivered, timers due <
/// until fire. From the instant of its first change of a watched output on, the node stops at the
/// earlier of `until` and that instant + the lookahead, so that what the output causes reaches it
/// in time.
struct Grant {
  Instant until;
  Feedback feedback{};
  /// Canonical order, none before the last instant reached. Those at or past `until` wait for a
  /// later grant.
  std::span<const SignalChange> inputs;
};

/// How far the node came. Inputs of the grant at or past `at` were not consumed, and are forgotten:
/// the caller sends them again with the next grant, or others in their place.
struct Reached {
  Instant at;                             ///< exclusive; last reached < at <= until
  std::span<const SignalChange> outputs;  ///< canonical order, all before `at`; valid until the
                                          ///< next exchange
};

/// The link is lost: silence, a broken frame, a refused or wrong answer. A run that ends so proves
/// nothing about the controller: it is inconclusive.
class LinkError : public std::runtime_error {
 public:
  LinkError(const std::string& what_was_lost, Instant last_good)
      : std::runtime_error(what_was_lost + "; last good simulated time " +
                           std::to_string(last_good.us) + " us"),
        last_good_(last_good) {}

  /// The last instant the node is known to have reached.
  Instant last_good() const { return last_good_; }

 private:
  Instant last_good_;
};

/// A controller under test, fresh when opened. Not thread-safe.
class Node {
 public:
  Node() = default;
  Node(const Node&) = delete;
  Node& operator=(const Node&) = delete;
  virtual ~Node() = default;

  /// One step of the run. Throws LinkError.
  virtual Reached exchange(const Grant& grant) = 0;

  /// The controller comes up fresh at `at`, with nothing in its memory. Throws LinkError, of a node
  /// that has no way to do so too.
  virtual void restart(Instant at) { throw LinkError("this node cannot be restarted", at); }

  /// The most input changes that can travel at once. An exchange takes any number; more than this
  /// cost several round trips.
  virtual std::size_t capacity() const = 0;
};

}  // namespace rimebench
