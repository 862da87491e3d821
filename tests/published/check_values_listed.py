#!/usr/bin/env python3
"""Checks that check_values.csv tells the truth about which published values are tested.

A test names a value by its id in square brackets, in a comment or in a string. Each id is listed
once; one marked `tested` must be named by the file it points to; one named by a test must be listed
as tested; one marked `not used` must say why. Exit code 1 with a line for each fault.
"""
import csv
import pathlib
import re
import sys

IDS_KNOWN = 137
REPOSITORY = pathlib.Path(__file__).resolve().parents[2]
LIST = REPOSITORY / "tests/published/check_values.csv"
COMMENT_OR_STRING = re.compile(r'//[^\n]*|"(?:\\.|[^"\\\n])*"')
TAG = re.compile(r"\[([A-Za-z0-9_]{5,})\]")


def tags_in(path):
    """Ids named in the comments and strings of a source file."""
    tags = set()
    for text in COMMENT_OR_STRING.findall(path.read_text(encoding="utf-8")):
        tags.update(TAG.findall(text))
    return tags


def faults_of(rows, tags_by_file):
    """One sentence for each disagreement between the list and the tests."""
    faults = []
    if len(rows) != IDS_KNOWN:
        faults.append(f"{len(rows)} rows, expected {IDS_KNOWN}")
    use_of = {}
    for row in rows:
        name, use, where_or_why = row["id"], row["use"], row["where_or_why"]
        if name in use_of:
            faults.append(f"{name}: listed twice")
        use_of[name] = use
        if use == "tested":
            if name not in tags_by_file.get(where_or_why, set()):
                faults.append(f"{name}: {where_or_why} does not name it")
        elif use != "not used":
            faults.append(f"{name}: use is '{use}', not 'tested' or 'not used'")
        elif not where_or_why:
            faults.append(f"{name}: not used, without a reason")
    for file, tags in sorted(tags_by_file.items()):
        for name in sorted(tags):
            if use_of.get(name) != "tested":
                faults.append(f"{name}: named by {file}, but not listed as tested")
    return faults


def main():
    with LIST.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    named = {row["where_or_why"] for row in rows if row["use"] == "tested"}
    files = set((REPOSITORY / "tests/published").glob("*.cpp"))
    files |= {REPOSITORY / name for name in named if (REPOSITORY / name).is_file()}
    tags_by_file = {file.relative_to(REPOSITORY).as_posix(): tags_in(file) for file in sorted(files)}
    faults = faults_of(rows, tags_by_file)
    for fault in faults:
        print(f"{LIST.relative_to(REPOSITORY)}: {fault}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
