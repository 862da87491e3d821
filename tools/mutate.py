#!/usr/bin/env python3
"""Mutation testing of the controller core: changes its sources in one small place at a time and
asks whether the tests notice. What they do not notice is a survivor: a test is missing, or the
mutant is equivalent and stands, with the reason, in mutation_equivalents.txt.

A mutant costs the compilation of the changed file, one link and the tests up to the first failure:
those of the changed file first, then all of the core and the contract, then the properties. What
lives through them drives the line: `rimebench suite` with the changed file linked in must find a
scenario that is not as recorded. Headers are left out there, since every room holds their code.
Results are kept in the work folder; a file that has not changed is not tried again if caught.
"""

import argparse
import collections
import concurrent.futures
import hashlib
import json
import os
import random
import resource
import shutil
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path

from mutants import enumerators, mutants_of

ROOT = Path(__file__).resolve().parent.parent
MUTATED = ("firmware_sim/units", "firmware_sim/contract", "firmware_sim/core")
TESTS = ("tests/units", "tests/contract", "tests/core", "tests/properties")
EQUIVALENTS = ROOT / "tools" / "mutation_equivalents.txt"
FLAGS = ["-std=c++20", "-ffp-contract=off", "-w", "-DDOCTEST_CONFIG_SUPER_FAST_ASSERTS",
         f'-DREPOSITORY_DIR="{ROOT}"']  # fmt: skip
PROPERTY_PERCENT = "10"  # of their cases: a mutant that lives through these is looked at by a person


def sources(folders, suffixes):
    for folder in folders:
        for path in sorted((ROOT / folder).glob("*")):
            if path.suffix in suffixes:
                yield path.relative_to(ROOT).as_posix()


def run(command, seconds=600, **options):
    """(exit code, output); the code is None if it took longer than `seconds` of processor time."""

    def limit():
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    try:
        done = subprocess.run(command, capture_output=True, text=True, errors="replace",
                              preexec_fn=limit, stdin=subprocess.DEVNULL,
                              timeout=seconds * 30 + 60, **options)  # fmt: skip
    except subprocess.TimeoutExpired:
        return None, ""
    late = done.returncode in (-24, -9)  # SIGXCPU, SIGKILL
    return None if late else done.returncode, done.stdout + done.stderr


@dataclass
class Verdict:
    caught: str  # by what; "" for a survivor; "invalid" for what is no program


class Bench:
    """The compiled core and tests, and what depends on which file."""

    def __init__(self, work, compiler, build):
        self.work, self.compiler, self.build = work, compiler, build
        self.core = list(sources(["firmware_sim/core"], (".cpp",)))
        self.tests = list(sources(TESTS, (".cpp",)))
        self.tests += ["tests/example_node/contract_in_c.cpp", "tests/support/main.cpp"]
        self.includes = {}

    def object_of(self, source, folder=None):
        return (folder or self.work / "plain") / (source.replace("/", "_") + ".o")

    def compile(self, source, out, first_include=None):
        optimise = "-O0" if source in self.core else "-O1"
        include = [f"-I{first_include}"] if first_include else []
        path = source
        if first_include and (first_include / source).is_file():
            path = str(first_include / source)
        return run([self.compiler, *FLAGS, optimise, *include, "-I.", "-c", path, "-o", str(out)],
                   cwd=ROOT)  # fmt: skip

    def link(self, objects, out):
        command = [self.compiler, *map(str, objects), "-lrapidcheck", "-o", str(out)]
        if shutil.which("ld.lld"):
            command.insert(1, "-fuse-ld=lld")
        return run(command, cwd=ROOT)

    def dependencies(self, source):
        _, text = run([self.compiler, *FLAGS, "-I.", "-MM", source], cwd=ROOT)
        return set(text.replace("\\\n", " ").split()[1:])

    def prepare(self, jobs):
        """Builds everything unchanged and runs it once; seconds of processor time it took."""
        (self.work / "plain").mkdir(parents=True, exist_ok=True)

        def build(source):
            out, stamp = self.object_of(source), self.work / "plain" / (source.replace("/", "_") + ".sha")
            self.includes[source] = self.dependencies(source)
            text = "".join((ROOT / name).read_text() for name in sorted(self.includes[source]))
            now = hashlib.sha1((text + " ".join(FLAGS)).encode()).hexdigest()
            if stamp.exists() and out.exists() and stamp.read_text() == now:
                return
            code, output = self.compile(source, out)
            if code != 0:
                sys.exit(f"mutate: {source} does not compile:\n{output}")
            stamp.write_text(now)

        with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
            list(pool.map(build, self.core + self.tests))
        program = self.work / "plain" / "tests"
        objects = [self.object_of(source) for source in self.core + self.tests]
        code, output = self.link(objects, program)
        if code != 0:
            sys.exit(f"mutate: does not link:\n{output}")
        code, output = run(["ninja", "-C", str(self.build), "rimebench"])
        if code != 0:
            sys.exit(f"mutate: {self.build} has no current rimebench:\n{output}")
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        if self.ask(program, [[]], 600):
            sys.exit("mutate: the unchanged core fails its tests")
        seconds = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        if self.ask_suite([self.object_of(source) for source in self.core], self.work / "plain", 600):
            sys.exit("mutate: the unchanged core does not run the suite as recorded")
        return seconds

    def ask(self, program, filters, seconds):
        """The first step at which the tests fail; "" if they pass."""
        environment = dict(os.environ, RIMEBENCH_PROPERTY_PERCENT=PROPERTY_PERCENT)
        for arguments in filters:
            code, _ = run([str(program), "-aa=1", *arguments], seconds, env=environment)
            if code is None:
                return "time-out"
            if code != 0:
                return "tests"
        return ""

    def ask_suite(self, objects, folder, seconds):
        """As `ask`, of the suite of scenarios with `objects` in the place of the core's own."""
        _, text = run(["ninja", "-C", str(self.build), "-t", "commands", "rimebench"])
        command = text.strip().splitlines()[-1].removeprefix(": && ").removesuffix(" && :")
        before, after = command.split(" -o rimebench ")
        program = folder / "rimebench"
        line = f"{before} {' '.join(map(str, objects))} -o {program} {after}"
        code, output = run(["sh", "-c", line], cwd=self.build)
        if code != 0:
            sys.exit(f"mutate: rimebench does not link:\n{output}")
        suite = [str(program), "suite", "config/scenarios", "--jobs", "1"]
        code, _ = run(suite, seconds, cwd=ROOT)
        return "time-out" if code is None else "suite" if code != 0 else ""

    def rebuilt(self, file, every=False):
        """What has to be compiled anew: a source itself; for a header the core's sources that
        include it and the tests of its own, or every test that includes it."""
        if file in self.core:
            return [file]
        core = [source for source in self.core if file in self.includes[source]]
        stem = Path(file).stem
        tests = [source for source in self.tests if file in self.includes[source]]
        own = [source for source in tests if stem in source or "/contract" in source
               or "tests/units" in source]  # fmt: skip
        return core + (own if core and not every else tests)

    def judge(self, mutant, folder, seconds):
        """What lives through the tests of its own is tried again with every test compiled anew:
        of an inline function they may hold the unchanged copy."""
        verdict = self.judge_with(self.rebuilt(mutant.file), mutant, folder, seconds)
        if verdict.caught:
            return verdict
        if mutant.file.endswith(".cpp"):
            return Verdict(self.ask_suite([self.object_of(mutant.file, folder)], folder, seconds))
        return self.judge_with(self.rebuilt(mutant.file, every=True), mutant, folder, seconds)

    def judge_with(self, sources_anew, mutant, folder, seconds):
        folder.mkdir(parents=True, exist_ok=True)
        changed = folder / "include" / mutant.file
        shutil.rmtree(folder / "include", ignore_errors=True)
        changed.parent.mkdir(parents=True)
        changed.write_text(mutant.apply((ROOT / mutant.file).read_text()))
        objects, replaced = [], set()
        for source in sources_anew:
            out = self.object_of(source, folder)
            code, output = self.compile(source, out, folder / "include")
            if code != 0:
                proved = "static_assert" in output or "static assertion" in output
                return Verdict("compiler" if proved else "invalid")
            objects.append(out)
            replaced.add(source)
        # What was compiled anew comes first: of an inline function the linker takes the first copy.
        objects += [self.object_of(source) for source in self.core + self.tests if source not in replaced]
        program = folder / "tests"
        code, _ = self.link(objects, program)
        if code != 0:
            return Verdict("invalid")
        stem = Path(mutant.file).stem.split("_")[0]
        steps = [[f"-sf=*/core/*{stem}*"], ["-sfe=*/properties/*"], ["-sf=*/properties/*"]]
        return Verdict(self.ask(program, steps, seconds))


def equivalents(path):
    """{key: reason}. A line of reason, then the mutants it holds for, indented."""
    found, reason = {}, ""
    for line in path.read_text().splitlines() if path.exists() else []:
        if line.startswith("  "):
            found[line.strip()] = reason
        elif line.strip() and not line.startswith("#"):
            reason = line.strip()
    return found


def report(mutants, verdicts, excused):
    counts = collections.defaultdict(collections.Counter)
    survivors = []
    for mutant in mutants:
        caught = verdicts[mutant.key].caught
        if caught == "" and mutant.key in excused:
            caught = "equivalent"
        counts[mutant.file][caught or "survived"] += 1
        if caught == "":
            survivors.append(mutant)
    columns = ("compiler", "tests", "suite", "time-out", "survived", "equivalent", "invalid")
    print(f"{'file':44}{'mutants':>9}" + "".join(f"{name:>12}" for name in columns) + "   caught")
    total = collections.Counter()
    for file in sorted(counts) + ["all"]:
        row = total if file == "all" else counts[file]
        if file != "all":
            total.update(row)
        caught = row["compiler"] + row["tests"] + row["suite"] + row["time-out"]
        share = f"{100 * caught / (caught + row['survived']):6.1f} %" if caught + row["survived"] else "-"
        print(f"{file:44}{sum(row.values()):>9}"
              + "".join(f"{row[name]:>12}" for name in columns) + f"{share:>10}")  # fmt: skip
    for mutant in survivors:
        print(f"survivor {mutant.file}:{mutant.line}: {mutant.kind} in {mutant.function}: {mutant.change}")
    return survivors


def chosen(options):
    files = list(sources(MUTATED, (".hpp", ".cpp")))
    enums = enumerators((ROOT / name).read_text() for name in files)
    wanted = [name for name in files if not options.file or any(part in name for part in options.file)]
    mutants = [mutant for name in wanted for mutant in mutants_of(name, (ROOT / name).read_text(), enums)]
    if options.sample and options.sample < len(mutants):
        mutants = random.Random(options.seed).sample(mutants, options.sample)
    return mutants


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n", maxsplit=1)[0])
    parser.add_argument("--file", action="append", help="only files whose name has this in it")
    parser.add_argument("--sample", type=int, help="only so many mutants, drawn with --seed")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--list", action="store_true", help="print the mutants and try none")
    parser.add_argument("--fresh", action="store_true", help="forget earlier results")
    parser.add_argument("--least", type=float, default=0, help="exit 1 if a smaller share is caught")
    parser.add_argument("--compiler", default="clang++")
    parser.add_argument("--build", type=Path, default=ROOT / "build", help="where CMake built rimebench")
    parser.add_argument("--work", type=Path, default=ROOT / "build" / "mutate")
    options = parser.parse_args()
    mutants = chosen(options)
    if options.list:
        for mutant in mutants:
            print(f"{mutant.file}:{mutant.line}: {mutant.kind} in {mutant.function}: {mutant.change}")
        return 0
    bench = Bench(options.work.resolve(), options.compiler, options.build.resolve())
    seconds = int(3 * bench.prepare(options.jobs)) + 5
    verdicts = try_all(bench, mutants, seconds, options)
    excused = equivalents(EQUIVALENTS)
    survivors = report(mutants, verdicts, excused)
    valid = sum(verdicts[m.key].caught != "invalid" and
                not (verdicts[m.key].caught == "" and m.key in excused) for m in mutants)  # fmt: skip
    return 1 if valid and 100 * (valid - len(survivors)) / valid < options.least else 0


def try_all(bench, mutants, seconds, options):
    memory_path = options.work / "results.json"
    memory = {} if options.fresh or not memory_path.exists() else json.loads(memory_path.read_text())
    place, lock, verdicts = threading.local(), threading.Lock(), {}
    numbers = iter(range(1_000_000))

    def attempt(mutant):
        text = mutant.apply((ROOT / mutant.file).read_text())
        digest = hashlib.sha1((mutant.file + text).encode()).hexdigest()
        if memory.get(digest):
            return mutant, digest, Verdict(memory[digest])
        if not hasattr(place, "folder"):
            with lock:
                place.folder = options.work / f"job{next(numbers)}"
        return mutant, digest, bench.judge(mutant, place.folder, seconds)

    with concurrent.futures.ThreadPoolExecutor(options.jobs) as pool:
        for done, (mutant, digest, verdict) in enumerate(pool.map(attempt, mutants), 1):
            verdicts[mutant.key] = verdict
            memory[digest] = verdict.caught
            if done % 50 == 0:
                print(f"mutate: {done} of {len(mutants)}", file=sys.stderr, flush=True)
                memory_path.write_text(json.dumps(memory))
    memory_path.write_text(json.dumps(memory))
    return verdicts


if __name__ == "__main__":
    sys.exit(main())
