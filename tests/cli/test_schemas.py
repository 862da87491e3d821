#!/usr/bin/env python3
"""What commands say with --json, held against the schemas that are published beside them."""

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
CONFIG = Path("config").resolve()
SCENARIOS = CONFIG / "scenarios"
WIRES = ("D0=line_pulse", "D1=!container_sensor", "D2=valve", "D3=valve_actual", "D4=run_permit",
         "D5=reject")  # fmt: skip


def validator(name):
    schema = json.loads(Path(name).read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


VERDICT = validator("harness/judge/verdict.schema.json")
SUITE = validator("harness/campaign/suite.schema.json")
PLAN = validator("harness/cli/plan.schema.json")
COMPARISON = validator("harness/cli/compare.schema.json")
AUDIT = validator("harness/cli/audit.schema.json")


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


def bites(schema, said, *keys):
    """A schema that takes everything would pass every test."""
    for key in keys:
        if schema.is_valid({**said, key: "perhaps"}):
            sys.exit(f"the schema takes any {key}")
        if schema.is_valid({k: v for k, v in said.items() if k != key}):
            sys.exit(f"the schema does not miss {key}")
    if schema.is_valid({**said, "colour": "blue"}):
        sys.exit("the schema takes keys that nobody wrote down")


def all_seen(what, seen, wanted):
    if set(seen) != wanted:
        sys.exit(f"only {what} {sorted(seen)} were looked at")


def check_runs(folder):
    outcomes = set()
    for name in ("inline_no_ramp", "stop_restart", "valve_fails_open", "vessel_empty", "canary"):
        said = held(VERDICT, folder, "run", SCENARIOS / f"{name}.yaml", "--json", "-")
        outcomes.add(said["verdict"])
    bites(VERDICT, said, "verdict", "escapes", "places")
    steady = SCENARIOS / "timing_screw.yaml"
    lost = held(VERDICT, folder, "run", steady, "--json", "-", "--node", "tcp:127.0.0.1:1")
    outcomes.add(lost["verdict"])
    all_seen("verdicts", outcomes, {"pass", "fail", "inconclusive"})
    command = [RIMEBENCH, "run", str(steady), "--trace", "run.trace"]
    subprocess.run(command, cwd=folder, capture_output=True, check=True)
    held(VERDICT, folder, "judge", "run.trace")


def check_suites(folder):
    pattern = ("--only", "inline_*ramp*", "--json", "-")
    held(SUITE, folder, "suite", SCENARIOS, *pattern)
    held(SUITE, folder, "suite", SCENARIOS, *pattern, "--claims-only")
    changed = held(SUITE, folder, "suite", SCENARIOS, *pattern, "--node", "stand_in:never_dose")
    if SUITE.is_valid({**changed, "well": 1}) or changed["well"]:
        sys.exit("a suite that is not well")


def check_plans(folder):
    plans = sorted((CONFIG / "plans").glob("*.yaml"))
    said = [held(PLAN, folder, "plan", path, "--json", "-") for path in plans]
    for value in ("900", "5000"):  # beyond the rating, and beyond any dose
        impossible = folder / f"impossible_{value}.yaml"
        target = f"target: {{equilibrium_kpa: {value}, at_c: 20}}"
        impossible.write_text(f"from: {CONFIG}/plans/rotary_can_355.yaml\n{target}\n")
        said.append(held(PLAN, folder, "plan", impossible, "--json", "-"))
    bites(PLAN, said[0], "verdict", "places", "supply", "recipe")
    all_seen("verdicts", {plan["verdict"] for plan in said}, {"planned", "refused"})
    all_seen("rooms", {plan["room"] is None for plan in said}, {True, False})
    all_seen("recipes", {plan["recipe"] is None for plan in said}, {True, False})
    if any((plan["verdict"] == "refused") != (plan["recipe"] is None) for plan in said):
        sys.exit("a refused plan has a recipe, or a plan has none")


def check_comparisons(folder):
    recipes = CONFIG / "recipes"
    choice = [f"--recipe={recipes}/inline4_{kind}.yaml" for kind in ("ramp", "no_ramp")]
    said = held(COMPARISON, folder, "compare", SCENARIOS / "inline_ramp.yaml", *choice,
                "--json", "-")  # fmt: skip
    bites(COMPARISON, said, "seed", "recipes")
    for key in ("equilibrium_pa", "escapes_only_this"):
        less = {k: v for k, v in said["recipes"][1]["less_first"].items() if k != key}
        changed = [said["recipes"][0], {**said["recipes"][1], "less_first": less}]
        if COMPARISON.is_valid({**said, "recipes": changed}):
            sys.exit(f"the schema does not miss {key}")
    lost = held(COMPARISON, folder, "compare", SCENARIOS / "link_cut.yaml", *choice, "--json", "-")
    all_seen("verdicts", {row["verdict"] for row in lost["recipes"]}, {"inconclusive"})


def check_audits(folder):
    line = ("--line", CONFIG / "lines/rotary.yaml", "--recipe",
            CONFIG / "recipes/rotary_can_355.yaml", "--json", "-")  # fmt: skip
    wires = [f"--wire={wire}" for wire in WIRES]
    said = [held(AUDIT, folder, "audit", CONFIG / "logs/wires.vcd", *line, *chosen)
            for chosen in (wires, wires[:3], wires[1:3])]  # fmt: skip
    steady = SCENARIOS / "rotary_steady.yaml"
    subprocess.run([RIMEBENCH, "run", str(steady), "--trace", "own.trace"], cwd=folder,
                   capture_output=True, check=True)  # fmt: skip
    said.append(held(AUDIT, folder, "audit", "own.trace", *line))
    bites(AUDIT, said[0], "verdict", "law", "latencies", "controller")
    all_seen("verdicts", {one["verdict"] for one in said}, {"pass", "fail", "inconclusive"})
    all_seen("valves", {one["latencies"]["valve"] is None for one in said}, {True, False})


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        for check in (check_runs, check_suites, check_plans, check_comparisons, check_audits):
            check(Path(place))
