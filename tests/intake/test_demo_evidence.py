#!/usr/bin/env python3
"""The demo's evidence is what its tool makes, says that it is invented, and reads as it should."""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
LOGS = ROOT / "config/logs"
RIMEBENCH = os.environ.get("RIMEBENCH_COMMAND", str(ROOT / "build/rimebench"))
FILES = ("tuesday.csv", "autumn_night.csv", "encoder_total.tsv", "wires.vcd", "wires_part.csv")
WIRES = [
    f"--wire={wire}"
    for wire in (
        "D0=line_pulse",
        "D1=!container_sensor",
        "D2=valve",
        "D3=valve_actual",
        "D4=run_permit",
        "D5=reject",
    )
]


def run(*words):
    return subprocess.run([RIMEBENCH, *map(str, words)], capture_output=True, text=True, check=False)


def made_by_the_tool():
    with tempfile.TemporaryDirectory() as name:
        subprocess.run([sys.executable, ROOT / "tools/demo_evidence.py", name], check=True)
        for file in FILES:
            theirs, ours = (LOGS / file).read_bytes(), (pathlib.Path(name) / file).read_bytes()
            assert theirs == ours, f"{file}: tools/demo_evidence.py makes another one"
            said = b"Invented" in ours or "Invented".encode("utf-16-le") in ours
            assert said, f"{file} does not say that it is invented"


def audited(file):
    ended = run("audit", LOGS / file, "--line", ROOT / "config/lines/rotary.yaml", "--recipe",
                ROOT / "config/recipes/rotary_can_355.yaml", "--json", "-", *WIRES)
    assert ended.returncode == 1, ended.stderr
    return json.loads(ended.stdout)


def captures_tell_what_was_planted():
    whole = audited("wires.vcd")
    assert [len(whole[kind]) for kind in ("missing", "double", "orphan")] == [1, 1, 1]
    assert whole["law"]["kind"] == "distance"
    assert {one["key"] for one in whole["corrections"]} == {
        "valve_open_delay_us", "valve_close_delay_us", "sensor_latency_us"}
    for one, truth in zip(whole["corrections"], (11_500, 7_200, 2_300)):
        assert one["measured"]["low"] <= truth <= one["measured"]["high"], one
    part = audited("wires_part.csv")
    assert len(part["missing"]) == 1 and not part["double"] and not part["orphan"]
    assert part["latencies"]["sensor"] is None


def logs_ask_and_then_read():
    for file, question, answers in (
        ("tuesday.csv", "date_order", ["date_order=day_month", "gap=hold"]),
        ("autumn_night.csv", "clock_change", ["clock_change=repeats"]),
        ("encoder_total.tsv", "speed_unit", ["speed_unit=count_16bit", "pulses_per_container=4"]),
    ):
        asked = run("intake", "speed", LOGS / file)
        assert asked.returncode != 0 and question in asked.stdout + asked.stderr, asked.stderr
        choices = [word for answer in answers for word in ("--choose", answer)]
        read = run("intake", "speed", LOGS / file, *choices)
        assert read.returncode == 0, file + ": " + read.stdout + read.stderr


def main():
    made_by_the_tool()
    captures_tell_what_was_planted()
    logs_ask_and_then_read()
    print(f"{len(FILES)} files of the demo are what their tool makes, and read as they should")
    return 0


if __name__ == "__main__":
    sys.exit(main())
