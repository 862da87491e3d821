#!/usr/bin/env python3
"""Line and branch coverage of the controller core under its tests and properties.

Prints a table. What no test reaches must say why not: a comment `// unreached: why` on its line or
on the line above. The failing side of a DEMAND needs none: it is a bug of ours. Exit 1 if anything
is neither reached nor explained, or explained though reached.
"""

import argparse
import concurrent.futures
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from mutants import closing
from sources import code_only, line_of

ROOT = Path(__file__).resolve().parent.parent
CORE = ROOT / "firmware_sim" / "core"
TESTS = ("units", "contract", "core", "properties")
FLAGS = ["-std=c++20", "-O1", "-ffp-contract=off", "-w", "-fprofile-instr-generate",
         "-fcoverage-mapping", "-DDOCTEST_CONFIG_SUPER_FAST_ASSERTS", "-I.",
         f'-DREPOSITORY_DIR="{ROOT}"']  # fmt: skip
# Decided by the compiler: planted defects, endless loops; an enum's switch, by -Wswitch-enum.
CONSTANT = re.compile(r"\bif constexpr\b|\bkDefect\w+ \?|\bwhile \(true\)|\bswitch \(")
MARK = re.compile(r"//+\s*unreached: \S")


def tool(name):
    for candidate in (f"{name}-14", name):
        if shutil.which(candidate):
            return candidate
    print(f"coverage: {name} is missing: apt-get install llvm-14")
    sys.exit(77)  # skipped


def run(command, **options):
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, **options)
    if done.returncode != 0:
        sys.exit(f"coverage: {' '.join(command[:3])} ... failed\n{done.stdout}{done.stderr}")
    return done.stdout


def build(work, jobs):
    work.mkdir(parents=True, exist_ok=True)
    sources = sorted(CORE.glob("*.cpp")) + [ROOT / "tests/support/main.cpp"]
    for folder in TESTS:
        sources += sorted((ROOT / "tests" / folder).glob("*.cpp"))

    def compile_one(source):
        out = work / (source.relative_to(ROOT).as_posix().replace("/", "_") + ".o")
        run(["clang++", *FLAGS, "-c", str(source), "-o", str(out)])
        return str(out)

    with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
        objects = list(pool.map(compile_one, sources))
    program = work / "tests"
    run(["clang++", "-fprofile-instr-generate", *objects, "-lrapidcheck", "-o", str(program)])
    return program


def measure(work, program, percent):
    raw, profile = work / "tests.profraw", work / "tests.profdata"
    run([str(program)], env=dict(os.environ, LLVM_PROFILE_FILE=str(raw),
                                 RIMEBENCH_PROPERTY_PERCENT=str(percent)))  # fmt: skip
    run([tool("llvm-profdata"), "merge", "-sparse", str(raw), "-o", str(profile)])
    export = [tool("llvm-cov"), "export", str(program), f"-instr-profile={profile}"]
    lcov = run([*export, "-format=lcov", str(CORE)])
    text = json.loads(run([*export, "-format=text", str(CORE)]))
    return lcov, text["data"][0]["files"]


def line_counts(lcov):
    """{file: {line: times run}}"""
    counts, name = {}, None
    for line in lcov.splitlines():
        if line.startswith("SF:"):
            name = Path(line[3:]).relative_to(ROOT).as_posix()
            counts[name] = {}
        elif line.startswith("DA:"):
            number, times = line[3:].split(",")[:2]
            counts[name][int(number)] = int(times)
    return counts


def branch_counts(files):
    """{file: {(line, column, side): times taken}}; a template's instances are added up."""
    counts = {}
    for file in files:
        found = counts.setdefault(Path(file["filename"]).relative_to(ROOT).as_posix(), {})
        for line, column, _, _, taken, fallen, *_ in file["branches"]:
            for side, times in (("true", taken), ("false", fallen)):
                found[line, column, side] = found.get((line, column, side), 0) + times
    return counts


def demand_lines(text):
    """Lines of every DEMAND: where it does not hold it panics, which no test survives."""
    code, lines = code_only(text), set()
    for match in re.finditer(r"\bDEMAND\(", code):
        end = closing(code, match.end() - 1)
        lines.update(range(line_of(code, match.start()), line_of(code, end) + 1))
    return lines


def judge(name, lines, branches):
    """(row of the table, complaints) for one file."""
    text = (ROOT / name).read_text()
    source = text.split("\n")
    demands = demand_lines(text)
    marks = {number for number, line in enumerate(source, 1) if MARK.search(line)}
    used, complaints, explained = set(), [], 0

    # What stands in a planted defect's block is built only with the defect.
    for match in re.finditer(r"\bif constexpr \(kDefect\w+\) \{", code_only(text)):
        end = line_of(text, closing(code_only(text), match.end() - 1))
        lines = {line: times for line, times in lines.items()
                 if not line_of(text, match.start()) < line <= end}  # fmt: skip

    def excused(line):
        for number in (line, line - 1):
            if number in marks and (number == line or source[number - 1].strip().startswith("//")):
                used.add(number)
                return True
        return False

    for line, times in sorted(lines.items()):
        if times == 0:
            explained += excused(line)
            if not excused(line):
                complaints.append(f"{name}:{line}: no test comes here: {source[line - 1].strip()}")
    branches = {key: times for key, times in branches.items()
                if key[0] not in demands and not CONSTANT.search(source[key[0] - 1])}  # fmt: skip
    for (line, column, side), times in sorted(branches.items()):
        if times or lines.get(line) == 0:
            continue
        explained += excused(line)
        if not excused(line):
            complaints.append(f"{name}:{line}:{column}: never {side}: {source[line - 1].strip()}")
    complaints += [f"{name}:{number}: reached, though it says unreached" for number in sorted(marks - used)]
    row = (name, sum(map(bool, lines.values())), len(lines),
           sum(map(bool, branches.values())), len(branches), explained)  # fmt: skip
    return row, complaints


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n", maxsplit=1)[0])
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--percent", type=int, default=20, help="of the properties' cases")
    parser.add_argument("--show", action="store_true", help="exit 0 whatever is not reached")
    parser.add_argument("--work", type=Path, default=ROOT / "build" / "coverage")
    options = parser.parse_args()
    tool("llvm-profdata"), tool("llvm-cov")
    lcov, files = measure(options.work, build(options.work, options.jobs), options.percent)
    lines, branches = line_counts(lcov), branch_counts(files)
    print(f"{'file':42}{'lines':>14}{'branches':>14}{'explained':>11}")
    rows, complaints = [], []
    for name in sorted(lines):
        row, found = judge(name, lines[name], branches.get(name, {}))
        rows.append(row)
        complaints += found
    rows.append(("all", *(sum(row[column] for row in rows) for column in range(1, 6))))
    for name, hit, of, taken, sides, explained in rows:
        print(f"{name:42}{f'{hit} of {of}':>14}{f'{taken} of {sides}':>14}{explained:>11}")
    for complaint in complaints:
        print(complaint)
    return 1 if complaints and not options.show else 0


if __name__ == "__main__":
    sys.exit(main())
