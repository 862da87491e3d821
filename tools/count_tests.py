#!/usr/bin/env python3
"""Sums up what ctest wrote: python3 tools/count_tests.py BUILD/tests.xml...

A doctest program counts as many as the test cases it ran, a script as one. A file that is not
there, a program that was not built or one that died is a failure. Every failure and every skip is
listed with its reason; the last line is "N passed, N failed, N skipped".
"""

import re
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

_SUMMARY = re.compile(
    r"^\[doctest\] test cases:\s*\d+\s*\|\s*(\d+) passed\s*\|\s*(\d+) failed\s*\|\s*(\d+) skipped",
    re.MULTILINE,
)


def failed_cases(output):
    """The names of the cases in which an assertion failed."""
    reports = re.split(r"^TEST CASE: +", output, flags=re.MULTILINE)[1:]
    return dict.fromkeys(r.splitlines()[0] for r in reports if "ERROR: " in r)


def count_program(test):
    """Returns ((passed, failed, skipped), remarks) of one <testcase>."""
    output = test.findtext("system-out") or ""
    lines = [line for line in output.splitlines() if line.strip()]
    last = lines[-1].strip() if lines else "no output"
    skip, failure = test.find("skipped"), test.find("failure")
    if skip is not None and "SKIP_RETURN_CODE" in skip.get("message", ""):
        return (0, 0, 1), [f"skipped: {last}"]
    ok = test.get("status") == "run" and failure is None
    summaries = _SUMMARY.findall(output)
    if not summaries:
        return ((1, 0, 0), []) if ok else ((0, 1, 0), [f"FAILED: {last}"])
    passed, failed, skipped = map(int, summaries[-1])
    remarks = [f"skipped: {skipped} cases marked so in the source"] if skipped else []
    if not ok:
        cases = failed_cases(output) or [last]
        remarks += [f"FAILED: {case}" for case in cases]
        failed = max(failed, 1)
    return (passed, failed, skipped), remarks


def count_file(path):
    """Returns ((passed, failed, skipped), remarks) of one build."""
    tests = list(ElementTree.parse(path).iter("testcase")) if path.is_file() else []
    if not tests:
        return (0, 1, 0), ["FAILED: did not build, or ran no test"]
    totals, remarks = [0, 0, 0], []
    for test in tests:
        counts, said = count_program(test)
        totals = [total + count for total, count in zip(totals, counts)]
        remarks += [f"{test.get('name')}: {remark}" for remark in said]
    return totals, remarks


def main(paths):
    totals = [0, 0, 0]
    print("== results")
    for path in map(Path, paths):
        counts, remarks = count_file(path)
        totals = [total + count for total, count in zip(totals, counts)]
        for remark in remarks:
            print(f"{path.parent.name}: {remark}")
    print("{} passed, {} failed, {} skipped".format(*totals))
    return 1 if totals[1] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
