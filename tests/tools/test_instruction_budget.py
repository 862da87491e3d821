"""tools/instruction_budget.py: what is above the budget, and what is not."""

import unittest

import planted  # noqa: F401  the path to tools

from instruction_budget import Budget, over_budget


def row(call, mean, worst):
    return {"call": call, "mean": str(mean), "worst": str(worst)}


class InstructionBudget(unittest.TestCase):
    def over(self, mean, worst):
        rows = [row("advance", 1, 1), row("advance", 1000, 2000)]
        return list(over_budget([{"call": "advance", "mean": mean, "worst": worst}], rows))

    def test_the_last_row_and_the_margin_are_allowed(self):
        self.assertEqual(self.over(1100, 2200), [])

    def test_a_mean_and_a_worst_above_them_are_told_apart(self):
        self.assertEqual(self.over(1101, 2200), ["advance: mean 1101 instructions, 1100 allowed"])
        self.assertEqual(self.over(1, 2201), ["advance: worst 2201 instructions, 2200 allowed"])

    def test_a_call_without_a_row_is_no_pass(self):
        measured = [{"call": "next_wake", "mean": 1, "worst": 1}]
        self.assertEqual(list(over_budget(measured, [])), ["next_wake: no budget recorded"])

    def test_scenarios_add_up_and_the_worst_names_its_own(self):
        budget = Budget()
        budget.add("calm", {"advance": (3, 300, 150)})
        budget.add("wild", {"advance": (1, 500, 500)})
        expected = {"call": "advance", "mean": 200, "calls": 4, "worst": 500, "worst_in": "wild"}
        self.assertEqual(list(budget.measured()), [expected])


if __name__ == "__main__":
    unittest.main()
