"""tools/mutants.py: what it changes and what it leaves alone; the list of equivalents is current."""

import unittest

from planted import REPOSITORY, PlantedTree

import mutate
from mutants import enumerators, mutants_of

SOURCE = """#include "a.hpp"
enum class Fault { kNone, kLinkLost, kCount };
static_assert(1 < 2, "no mutant here");
bool Guard::allow(int now, bool open) {
  if constexpr (kDefectNoGuard) return open;
  if (now >= limit_ && !open) latch(Fault::kLinkLost);  // a < b in a comment
  valve_ = open ? on_ : off_;
  return valve_;
}
"""


class MutantTests(PlantedTree):
    def changes(self, kind):
        found = mutants_of("guard.cpp", SOURCE, enumerators([SOURCE]))
        return [mutant.change for mutant in found if mutant.kind == kind]

    def lines(self, kind):
        return [change.split("` -> `")[1].rstrip("`") for change in self.changes(kind)]

    def test_a_comparison_moves_by_one(self):
        (change,) = self.lines("comparison")
        self.assertIn("now > limit_ && !open", change)

    def test_logic_is_swapped_and_negation_dropped(self):
        either, plain = self.lines("logic")
        self.assertIn("now >= limit_ || !open", either)
        self.assertIn("now >= limit_ && open", plain)

    def test_a_guard_is_negated_and_dropped(self):
        conditions = [line[:6] for line in self.lines("guard")]
        self.assertEqual(sorted(conditions), ["if (!(", "if (fa"])

    def test_a_constant_becomes_the_next(self):
        (change,) = self.lines("constant")
        self.assertIn("latch(Fault::kNone)", change)

    def test_an_assignment_goes_and_a_choice_turns(self):
        self.assertEqual(self.lines("statement"), [";"])
        self.assertEqual(self.lines("choice"), ["valve_ = open ? off_ : on_;"])

    def test_a_returned_truth_is_negated(self):
        self.assertEqual(self.lines("return"), ["return !(valve_);"])

    def test_every_equivalent_is_still_a_mutant(self):
        texts = {name: (REPOSITORY / name).read_text()
                 for name in mutate.sources(mutate.MUTATED, (".hpp", ".cpp"))}  # fmt: skip
        enums = enumerators(texts.values())
        keys = {m.key for name, text in texts.items() for m in mutants_of(name, text, enums)}
        excused = mutate.equivalents(mutate.EQUIVALENTS)
        self.assertTrue(all(excused.values()), "an equivalent without a reason")
        self.assertEqual(set(excused) - keys, set())


if __name__ == "__main__":
    unittest.main()
