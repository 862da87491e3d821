/// Every wire flickers as it likes: what must hold even then.

#include <doctest/doctest.h>

#include "firmware_sim/core/grant.hpp"
#include "tests/properties/wire_case.hpp"

namespace rimebench::properties {
namespace {

struct CutCase {
  WireCase wires;
  std::vector<std::int64_t> lengths_us;  ///< of the grants, one after the other, over and over
  std::int64_t lookahead_us;
  std::int64_t copy_after;  ///< grants
};

std::ostream& operator<<(std::ostream& out, const CutCase& cut) {
  out << cut.wires << "lookahead " << cut.lookahead_us << ", copied after " << cut.copy_after
      << " grants of";
  for (const std::int64_t length_us : cut.lengths_us) out << ' ' << length_us;
  return out << " us\n";
}

CutCase any_cut() {
  const auto length = rc::gen::exec([] {
    const std::int64_t most = *between(0, 2) == 0 ? 20 : 200'000;
    return *between(1, most);
  });
  const auto lengths = rc::gen::nonEmpty(rc::gen::container<std::vector<std::int64_t>>(length));
  return {any_case(*between(0, 3) == 0), *rc::gen::resize(20, lengths), *between(1, 30'000),
          *between(0, 30)};
}

/// Granted piece by piece, and from some grant on by a copy: the outputs.
Changes in_pieces(const CutCase& cut, const Changes& inputs, Instant end) {
  DoseController controller;
  Changes outputs;
  std::span<const SignalChange> left = inputs;
  Instant reached{cut.wires.begin_us};
  for (std::size_t grant = 0; reached < end; ++grant) {
    if (static_cast<std::int64_t>(grant) == cut.copy_after) {
      const DoseController copy = controller;
      controller = copy;
    }
    const Duration length{cut.lengths_us[grant % cut.lengths_us.size()]};
    reached =
        run_grant(controller, left, earlier(reached + length, end), Duration{cut.lookahead_us},
                  [&](SignalChange change) { outputs.push_back(change); });
    while (!left.empty() && left.front().at < reached) left = left.subspan(1);
  }
  return outputs;
}

}  // namespace

TEST_CASE("wires: whatever they do, on a small line that doses, no rule of the valve is broken") {
  Seen seen;
  const int cases = holds(6'000, [&] {
    const WireCase wires = *rc::gen::exec([] { return any_case(false); });
    WireRules rules(seen);
    play(wires, rules);
  });
  MESSAGE(seen.openings << " openings, " << seen.streams << " of them of streams");
  CHECK(seen.openings > cases / 4);
  CHECK(seen.streams > cases / 20);
  CHECK(seen.rejects > cases / 4);
}

TEST_CASE("wires: whatever they do, with any accepted recipe, no rule of the valve is broken") {
  Seen seen;
  const int cases = holds(4'000, [&] {
    const WireCase wires = *rc::gen::exec([] { return any_case(true); });
    WireRules rules(seen);
    play(wires, rules);
  });
  CHECK(seen.recipes > cases);
}

TEST_CASE(
    "wires: however a run is cut into grants, and by whichever copy, the outputs are the same") {
  Seen seen;
  const int cases = holds(1'000, [&] {
    const CutCase cut = *rc::gen::exec([] { return any_cut(); });
    WireRules rules(seen);
    const Played whole = play(cut.wires, rules);
    const Instant end = inputs_of(cut.wires).back().at + 1_s;
    Changes expected = whole.outputs;
    while (!expected.empty() && expected.back().at >= end) expected.pop_back();
    must(in_pieces(cut, whole.inputs, end) == expected, end.us, "cut, it gave other outputs");
  });
  CHECK(seen.openings > cases / 20);
}

}  // namespace rimebench::properties
