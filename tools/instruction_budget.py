#!/usr/bin/env python3
"""The instruction budget of the controller's two calls and its trend.

firmware_sim/port/cortex_m/budget.csv has a row for each call at each date it was recorded. The last
rows are the budget: a mean or a worst above one by more than the margin fails the gate. Recording
is a decision: `tools/instruction_budget.py DATE WHY` measures and appends rows.
"""

import concurrent.futures
import csv
import os
import sys
import tempfile
from pathlib import Path

from arm_images import REPOSITORY, Broken, Missing
from emulator import Images

TABLE = REPOSITORY / "firmware_sim/port/cortex_m/budget.csv"
COLUMNS = ("date", "why", "call", "calls", "mean", "worst", "worst_in")
MARGIN_PERCENT = 10
SCENARIOS = REPOSITORY / "config/scenarios"
TOO_LONG = "whole_shift"  # eight hours: to be counted, half an hour of it, with a stop, stands in its place
SHORTENED = """from: {}
feed_us: 1800000000
happens:
  stops: [{{at_us: 900000000, for_us: 45000000, coast_us: 1000000, ramp_us: 3000000}}]
  missing_share_ppm: 5000
expect: {{containers_min: 10000}}
"""


def scenarios(folder):
    """Every scenario; of the one that is too long, a shorter one written into `folder`."""
    for path in sorted(SCENARIOS.glob("*.yaml")):
        if path.stem == TOO_LONG:
            short = folder / f"{TOO_LONG}_shortened.yaml"
            short.write_text(SHORTENED.format(path))
            path = short
        yield path


def counted_runs(images, folder):
    """(scenario, verdict, what was said, counts) of each, in order. What counts instructions asks no
    clock, so as many boards run at once as there are processors."""

    def counted(path):
        return path, *images.run_counted(path, folder / f"{path.stem}.counts")

    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        yield from pool.map(counted, scenarios(folder))


class Budget:
    """The worst and the mean of each call over all that was run."""

    def __init__(self):
        self.rows = {}

    def add(self, scenario, found):
        for call, (calls, total, worst) in found.items():
            row = self.rows.setdefault(call, {"calls": 0, "total": 0, "worst": 0, "worst_in": ""})
            row["calls"] += calls
            row["total"] += total
            if worst > row["worst"]:
                row.update(worst=worst, worst_in=scenario)

    def measured(self):
        """Rows as the table has them, without date and reason."""
        for call, row in self.rows.items():
            mean = round(row["total"] / max(row["calls"], 1))
            kept = {column: row[column] for column in ("calls", "worst", "worst_in")}
            yield {"call": call, "mean": mean, **kept}


def recorded():
    """The table's rows, oldest first."""
    with open(TABLE, newline="") as table:
        return list(csv.DictReader(table))


def over_budget(measured, rows):
    """What is above the last row of its call, or has none."""
    last = {row["call"]: row for row in rows}
    for row in measured:
        for column in ("mean", "worst"):
            if row["call"] not in last:
                yield f"{row['call']}: no budget recorded"
                break
            allowed = int(last[row["call"]][column]) * (100 + MARGIN_PERCENT) // 100
            if row[column] > allowed:
                yield f"{row['call']}: {column} {row[column]} instructions, {allowed} allowed"


def show(measured, rows):
    for row in [*rows, *({"date": "now", "why": "", **m} for m in measured)]:
        print("  {date:10}  {call:10} {calls:>8} calls  mean {mean:>5}  worst {worst:>6}"
              "  in {worst_in}  {why}".format(**row))


def measure():
    images, budget = Images(), Budget()
    with tempfile.TemporaryDirectory() as scratch:
        for path, _, _, found in counted_runs(images, Path(scratch)):
            budget.add(path.stem, found)
    return list(budget.measured())


def main(date, why):
    try:
        rows = measure()
    except (Missing, Broken) as problem:
        sys.exit(str(problem))
    begin = not TABLE.exists()
    with open(TABLE, "a", newline="") as table:
        writer = csv.DictWriter(table, COLUMNS, lineterminator="\n")
        if begin:
            writer.writeheader()
        writer.writerows({"date": date, "why": why, **row} for row in rows)
    show([], recorded())


if __name__ == "__main__":
    main(*sys.argv[1:])
