"""tools/count_tests.py: what did not run is never counted as passed."""

import contextlib
import io
import unittest

from planted import PlantedTree

import count_tests

PASSED = "[doctest] test cases:  7 |  7 passed | 0 failed | 0 skipped\n"
FAILED = """TEST CASE:  a case that only says something
a.cpp:3: MESSAGE: hello
TEST CASE:  controller: a missing container gets no dose
a.cpp:9: ERROR: CHECK( shots == 0 ) is NOT correct!
[doctest] test cases: 12 | 11 passed | 1 failed | 2 skipped
"""
SKIP = '<skipped message="SKIP_RETURN_CODE=77"/>'
FAILURE = '<failure message=""/>'


def case(status, output="", inside=""):
    said = f"{inside}<system-out>{output}</system-out>"
    return f'<testcase name="n" status="{status}">{said}</testcase>'


class CountTests(PlantedTree):
    def run_on(self, *cases):
        self.plant("gcc/tests.xml", "<testsuite>" + "".join(cases) + "</testsuite>")
        return self.summary("gcc/tests.xml")

    def summary(self, *names):
        """Returns the lines printed and the exit code."""
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            code = count_tests.main([self.root / name for name in names])
        return printed.getvalue().splitlines(), code

    def test_a_program_counts_its_cases_and_a_script_counts_one(self):
        lines, code = self.run_on(case("run", PASSED), case("run", "anything"))
        self.assertEqual((lines[-1], code), ("8 passed, 0 failed, 0 skipped", 0))

    def test_a_failing_program_names_its_case(self):
        lines, code = self.run_on(case("fail", FAILED, FAILURE))
        self.assertEqual((lines[-1], code), ("11 passed, 1 failed, 2 skipped", 1))
        failures = [line for line in lines if "FAILED" in line]
        self.assertEqual(
            failures, ["gcc: n: FAILED: controller: a missing container gets no dose"]
        )

    def test_a_skip_gives_its_reason(self):
        lines, code = self.run_on(case("notrun", "no emulator here\n", SKIP))
        self.assertEqual((lines[-1], code), ("0 passed, 0 failed, 1 skipped", 0))
        self.assertIn("gcc: n: skipped: no emulator here", lines)

    def test_a_program_that_dies_after_its_cases_failed(self):
        lines, code = self.run_on(case("fail", PASSED + "a leak\n", FAILURE))
        self.assertEqual((lines[-1], code), ("7 passed, 1 failed, 0 skipped", 1))

    def test_a_program_that_was_not_built_failed(self):
        lines, code = self.run_on(case("notrun", "", '<skipped message="Unable to find"/>'))
        self.assertEqual((lines[-1], code), ("0 passed, 1 failed, 0 skipped", 1))

    def test_a_build_without_tests_failed(self):
        self.assertEqual(self.run_on()[1], 1)
        lines, code = self.summary("clang/tests.xml")
        self.assertEqual((lines[-1], code), ("0 passed, 1 failed, 0 skipped", 1))


if __name__ == "__main__":
    unittest.main()
