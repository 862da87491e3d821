#!/usr/bin/env python3
"""What a run's report says, held against its schema, its ledger and its verdict."""

import csv
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from documents import SCHEMA, block, columns, strictly

try:
    from jsonschema import Draft202012Validator
except ImportError:
    print("no python3-jsonschema: tools/setup installs it")
    sys.exit(77)

RIMEBENCH = os.environ["RIMEBENCH_COMMAND"]
SCENARIOS = Path("config/scenarios").resolve()
NAMES = (
    "inline_no_ramp",
    "stop_restart",
    "touching_cans",
    "taken_before_seamer",
    "valve_fails_open",
    "pressure_check",
)
LIQUID_FULL_PA = 1_000_000_000
#: packed column, ledger column, what the ledger counts in one of the packed
SAME = (
    ("container", "container", 1),
    ("group", "group", 1),
    ("head", "head", 1),
    ("place", "place", 1),
    ("shots", "shots", 1),
    ("equilibrium_kpa", "equilibrium_pa", 10),
    ("prompt_kpa", "prompt_pa", 10),
    ("hot_equilibrium_kpa", "hot_equilibrium_pa", 10),
    ("hot_prompt_kpa", "hot_prompt_pa", 10),
    ("nozzle_mg", "nozzle_ug", 10),
    ("sealed_mg", "sealed_ug", 10),
    ("oxygen_percent", "oxygen_ppm", 100),
)
#: A jet that falls 200 ms, twice as long as it is from shot to shot.
SLOW_JET = """
title: "the next shots are fired while one still falls"
speed: [{at_us: 0, containers_per_min: 600}]
feed_us: 30000000
line:
  from: CONFIG/lines/rotary.yaml
  nozzle: {height_um: 150000, jet_diameter_um: 1600, jet_speed_um_per_s: 10000, lateral_um: 0}
recipe: {from: CONFIG/recipes/rotary_can_355.yaml, flight_us: 185000}
expect: {containers_min: 200}
"""


def expect(found, wanted, what):
    if found != wanted:
        sys.exit(f"{what}: {found!r}, not {wanted!r}")


def run(folder, scenario, *options):
    command = [RIMEBENCH, "run", str(scenario), *options]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def check_row(name, packed, row):
    for column, ledger, unit in SAME:
        value, wanted = packed[column], int(row[ledger])
        if value is None:
            expect(wanted >= LIQUID_FULL_PA, True, f"{name}: {column} is none, ledger {wanted}")
        elif abs(value * unit - wanted) * 2 > unit:
            sys.exit(f"{name}: {column} {value * unit}, in the ledger {wanted}: {row['container']}")
    flags = packed["flags"]
    for bit, column in enumerate(("flagged", "removed", "bad")):
        expect(flags >> bit & 1, int(row[column]), f"{name}: {column} of {row['container']}")
    expect(flags >> 4 & 1, int(row["befell"] != "none"), f"{name}: disturbed {row['container']}")
    seen = packed["sensor_us"]
    if int(row["sensor_us"]):
        expect(seen, int(row["sensor_us"]), f"{name}: sensor edge of {row['container']}")
    for column in ("lid_us", "seam_us", "gate_us"):
        at = int(row[column])
        expect(packed[column] is None, at == 0, f"{name}: {column} of {row['container']}")
        if at and abs(seen + 10 * packed[column] - at) > 5:
            sys.exit(f"{name}: {column} of {row['container']} is not {at}")


def check_shot(name, packed, row):
    """The middle of the landing stands in the ledger, found by the plant and not by the report."""
    if packed["land_from_us"] is None:
        return 0
    middle = packed["sensor_us"] + (packed["land_from_us"] + packed["land_until_us"]) / 2
    if int(row["shots"]) == 1 and abs(middle - int(row["landing_us"])) > 2:
        sys.exit(f"{name}: container {row['container']} was given another's shot")
    if not packed["open_us"] < packed["valve_open_us"] < packed["land_from_us"]:
        sys.exit(f"{name}: container {row['container']}: command, valve and landing out of order")
    return 1


def check_containers(name, document, ledger):
    packed = columns(block(document, "containers"))
    expect(len(packed["container"]), len(ledger), f"{name}: containers")
    shots = 0
    for i, row in enumerate(ledger):
        one = {column: values[i] for column, values in packed.items()}
        check_row(name, one, row)
        shots += check_shot(name, one, row)
    return shots


def check_verdict(name, document, verdict):
    expect(document["verdict"]["outcome"], verdict["verdict"], f"{name}: verdict")
    about = {fact["name"]: fact["value"] for fact in document["about"]}
    expect(about["digest of the signal changes"], verdict["digest"], f"{name}: digest")
    rows = block(document, "expectations")["rows"]
    outcomes = [row["outcome"] for row in verdict["expectations"]]
    expect([row["outcome"] for row in rows], outcomes, f"{name}: expectations")
    places = block(document, "places")
    names = ("place", "containers", "dose_error_percent_mean", "dose_error_percent_worst")
    found = [[row[0], row[1], *row[6:8]] for row in places["rows"]]
    expected = [[place[key] for key in names] for place in verdict["places"]]
    expect(len(found), len(expected), f"{name}: places")
    for row, values in zip(found, expected):
        near = [abs(a - b) < 1e-5 for a, b in zip(row, values)]
        expect(near, [True] * 4, f"{name}: doses of place {values[0]}")
    failures = block(document, "failures")
    bad = [row["container"] for row in verdict["bad_rows"]]
    expect([row[0] for row in failures["rows"]] if failures else [], bad, f"{name}: failures")
    pictures = {p["container"]: p["why"] for p in block(document, "timing")["pictures"]}
    sealed = [row["container"] for row in verdict["bad_rows"] if row["seam_us"]][:24]
    missing = [container for container in sealed if container not in pictures]
    expect(missing, [], f"{name}: failures without their timing")
    stops = block(document, "stops")
    costs = [[s["costs_least"], s["costs_most"], s["cost"]] for s in verdict["stops"]]
    shown = [row[2:] for row in stops["rows"]] if stops else []
    expect(shown, costs, f"{name}: what each stop costs")


def check_scenario(folder, path, validator):
    name = Path(path).stem
    done = run(folder, path, "--report", "r.json", "--ledger", "l.csv", "--json", "v.json")
    text = (folder / "r.json").read_text(encoding="utf-8")
    document = strictly(text)
    mistakes = [f"{list(e.absolute_path)}: {e.message}" for e in validator.iter_errors(document)]
    expect(mistakes, [], f"{name}: against the schema")
    expect(done.stderr, "", f"{name}: standard error")
    with open(folder / "l.csv", encoding="utf-8", newline="") as ledger:
        shots = check_containers(name, document, list(csv.DictReader(ledger)))
    check_verdict(name, document, json.loads((folder / "v.json").read_text(encoding="utf-8")))
    run(folder, path, "--report", "again.json")
    expect((folder / "again.json").read_text(encoding="utf-8"), text, f"{name}: the same again")
    return shots


def check_page(folder):
    """A page holds its document, whatever its texts are."""
    hostile = folder / "hostile.yaml"
    hostile.write_text(
        f"from: {SCENARIOS}/timing_screw.yaml\n"
        'title: "</script><script>alert(1)</script><!-- @document@ \\\\u003c &amp;"\n',
        encoding="utf-8",
    )
    (folder / "page.html").write_text("old", encoding="utf-8")
    done = run(folder, hostile, "--report", "page.html")
    text = (folder / "page.html").read_text(encoding="utf-8")
    if done.returncode == 3:
        expect(text, "old", "a page that cannot be built overwrites nothing")
        expect(done.stderr.count("\n"), 1, "what is missing, in one line")
        expect("tools/setup" in done.stderr, True, "how to get it")
        return
    run(folder, hostile, "--report", "page.json")
    opening = text.index('id="document">') + len('id="document">')
    inside = text[opening : text.index("</script>", opening)]
    expect("<" in inside, False, "markup in the document")
    expect(strictly(inside), strictly((folder / "page.json").read_text()), "the document")


def check_signoff(folder):
    """Every limit that the verdict holds a container against stands there, approved or not."""
    run(folder, SCENARIOS / "inline_ramp.yaml", "--report", "s.json", "--json", "v.json")
    document = strictly((folder / "s.json").read_text(encoding="utf-8"))
    rows = {row["limit"]: row for row in block(document, "signoff")["rows"]}
    maker = rows["pressure rating of the container"]
    expect(maker["owner"], "container maker", "whose the rating is")
    expect(maker["value"], {"value": 620.0, "quantity": "pressure_kpa", "digits": 0}, "the rating")
    least = rows["settled pressure, at least"]
    expect((least["owner"], least["value"]["value"]), ("brand quality", 167.0), "softest")
    expect("date" in rows["landing off the centre, at most"], False, "a date nobody gave")
    expect(rows["part of the shot caught, at least"]["owner"], None, "not approved")


def check_pressure_check(folder):
    """A check that has a place of its own is drawn there, not at the gate."""
    run(folder, SCENARIOS / "pressure_check_placed.yaml", "--report", "p.json")
    document = strictly((folder / "p.json").read_text(encoding="utf-8"))
    at = {station["kind"]: station["at_um"] for station in block(document, "line")["stations"]}
    expect(at["seamer"] < at["pressure_check"] < at["gate"], True, f"stations: {at}")


def command(folder, *words):
    """A command other than run, with its report and its JSON."""
    words = [RIMEBENCH, *map(str, words), "--report", "r.json", "--json", "j.json"]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False)
    expect(done.stderr, "", f"{words[1]}: standard error")
    read = [strictly((folder / name).read_text(encoding="utf-8")) for name in ("r.json", "j.json")]
    return done.returncode, *read


def check_plan(folder, validator):
    config = SCENARIOS.parent
    for name in ("inline4_can_355", "worked_example", "dry_powder_tub", "pet_500"):
        code, document, plan = command(folder, "plan", config / f"plans/{name}.yaml")
        expect([e.message for e in validator.iter_errors(document)], [], f"plan {name}: schema")
        outcomes = ("pass", "fail", "inconclusive")
        expect(document["verdict"]["outcome"], outcomes[code], f"plan {name}: outcome")
        places = [row[4]["value"] for row in block(document, "places")["rows"]]
        expect(places, [place["nozzle_mg"] for place in plan["places"]], f"plan {name}: doses")
        bars = [row["low"] + row["high"] for row in block(document, "sensitivities")["rows"]]
        expect(bars, [one["kpa"] for one in plan["sensitivities"]], f"plan {name}: what matters")


def check_compare(folder, validator):
    recipes = [SCENARIOS.parent / f"recipes/inline4_{name}.yaml" for name in ("ramp", "no_ramp")]
    words = [word for recipe in recipes for word in ("--recipe", recipe)]
    _, document, json_ = command(folder, "compare", SCENARIOS / "inline_ramp.yaml", *words)
    expect([e.message for e in validator.iter_errors(document)], [], "compare: schema")
    less = json_["recipes"][1]["less_first"]["equilibrium_pa"]
    row = block(document, "b_less_a")["rows"][0]
    wanted = [less["pairs"], *(round(less[key] / 1000, 6) for key in ("mean", "low", "high"))]
    expect([row[1], *(cell["value"] for cell in row[2:])], wanted, "compare: the difference")
    digests = [run["digest"] for run in json_["recipes"]]
    expect([r[-1] for r in block(document, "recipes")["rows"]], digests, "compare: digests")


def check_suite(folder, validator):
    words = ("suite", SCENARIOS, "--only", "inline_*ramp*", "--node", "stand_in:always_reject")
    code, document, suite = command(folder, *words)
    expect((code, document["verdict"]["outcome"]), (1, "fail"), "suite: always reject")
    expect([e.message for e in validator.iter_errors(document)], [], "suite: schema")
    rows = block(document, "scenarios")["rows"]
    expect([row[0] for row in rows], [s["scenario"] for s in suite["scenarios"]], "suite: names")
    expect([row[3] for row in rows], [s["verdict"] for s in suite["scenarios"]], "suite: verdicts")
    named = {row[0] for row in block(document, "differences")["rows"]}
    wrong = {s["scenario"] for s in suite["scenarios"] if not s["as_claimed"] or s["changes"]}
    expect(named, wrong, "suite: what is not as claimed or recorded")


def check_audit(folder, validator):
    config = SCENARIOS.parent
    wires = ("D0=line_pulse", "D1=!container_sensor", "D2=valve", "D3=valve_actual")
    words = ["--line", config / "lines/rotary.yaml", "--recipe"]
    words.append(config / "recipes/rotary_can_355.yaml")
    words += [word for wire in (*wires, "D4=run_permit", "D5=reject") for word in ("--wire", wire)]
    _, document, audit = command(folder, "audit", config / "logs/wires.vcd", *words)
    expect([e.message for e in validator.iter_errors(document)], [], "audit: schema")
    expect(document["verdict"]["outcome"], audit["verdict"], "audit: outcome")
    rows = block(document, "timing_figures")["rows"]
    late = next(row for row in rows if row[0] == "landing after it was asked for")
    wanted = [round(audit["late_us"][key], 6) for key in ("median", "sd", "mean", "low", "high")]
    expect([cell["value"] for cell in late[3:]], wanted, "audit: how late")
    shown = [row[:3] for row in block(document, "corrections")["rows"]]
    keys = [[one["key"], one["old"], one["new"]] for one in audit["corrections"]]
    expect(shown, keys, "audit: corrections")
    words = [RIMEBENCH, "audit", folder / "slow_jet.yaml", *words[:4], "--report", "none.json"]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False)
    expect(done.returncode, 3, "audit: a capture that is none")
    expect(list(folder.glob("none.json*")), [], "audit: bad input leaves no report")


def check(folder):
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    for name in NAMES:
        shots = check_scenario(folder, SCENARIOS / f"{name}.yaml", validator)
        expect(shots > 100, True, f"{name}: containers with their shot")
    slow = folder / "slow_jet.yaml"
    text = SLOW_JET.replace("CONFIG", str(SCENARIOS.parent))
    slow.write_text(f"from: {SCENARIOS}/rotary_steady.yaml\n{text}", encoding="utf-8")
    expect(check_scenario(folder, slow, validator) > 200, True, "slow jet: shots")
    check_signoff(folder)
    check_pressure_check(folder)
    check_plan(folder, validator)
    check_compare(folder, validator)
    check_suite(folder, validator)
    check_audit(folder, validator)
    check_page(folder)
    done = run(folder, slow, slow, "--report", "two.json")
    expect(done.returncode, 3, "one report of two scenarios")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        check(Path(place))
