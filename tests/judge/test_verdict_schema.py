#!/usr/bin/env python3
"""The JSON of run, judge and suite, held against the schemas that are published beside it."""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

try:
    from jsonschema import Draft202012Validator
except ImportError:
    print("no python3-jsonschema: tools/setup installs it")
    sys.exit(77)

RIMEBENCH = os.environ["RIMEBENCH_COMMAND"]
SCENARIOS = Path("config/scenarios").resolve()


def validator(name):
    schema = json.loads(Path(name).read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


VERDICT = validator("harness/judge/verdict.schema.json")
SUITE = validator("harness/campaign/suite.schema.json")


def refuse(word):
    raise ValueError(f"{word} is no JSON")


def held(schema, folder, *words):
    """What a command says on standard output, which must be as the schema has it."""
    command = [RIMEBENCH, *map(str, words)]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    said = json.loads(done.stdout, parse_constant=refuse)
    for mistake in schema.iter_errors(said):
        sys.exit(f"{' '.join(command)}: {list(mistake.absolute_path)}: {mistake.message}")
    return said


def bites(said):
    """A schema that takes everything would pass every test."""
    for key in ("verdict", "escapes", "places"):
        if VERDICT.is_valid({**said, key: "perhaps"}):
            sys.exit(f"the schema takes any {key}")
        if VERDICT.is_valid({k: v for k, v in said.items() if k != key}):
            sys.exit(f"the schema does not miss {key}")
    if VERDICT.is_valid({**said, "colour": "blue"}):
        sys.exit("the schema takes keys that nobody wrote down")


def check(folder):
    outcomes = set()
    for name in ("inline_no_ramp", "stop_restart", "valve_fails_open", "vessel_empty", "canary"):
        said = held(VERDICT, folder, "run", SCENARIOS / f"{name}.yaml", "--json", "-")
        outcomes.add(said["verdict"])
    bites(said)
    steady = SCENARIOS / "timing_screw.yaml"
    lost = held(VERDICT, folder, "run", steady, "--json", "-", "--node", "tcp:127.0.0.1:1")
    outcomes.add(lost["verdict"])
    if outcomes != {"pass", "fail", "inconclusive"}:
        sys.exit(f"only {outcomes} were looked at")
    command = [RIMEBENCH, "run", str(steady), "--trace", "run.trace"]
    subprocess.run(command, cwd=folder, capture_output=True, check=True)
    held(VERDICT, folder, "judge", "run.trace")
    pattern = ("--only", "inline_*ramp*", "--json", "-")
    held(SUITE, folder, "suite", SCENARIOS, *pattern)
    held(SUITE, folder, "suite", SCENARIOS, *pattern, "--claims-only")
    changed = held(SUITE, folder, "suite", SCENARIOS, *pattern, "--node", "stand_in:never_dose")
    if SUITE.is_valid({**changed, "well": 1}) or changed["well"]:
        sys.exit("a suite that is not well")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        check(Path(place))
