#!/usr/bin/env python3
"""The table of firmware_sim/README.md: each scenario, what happens in it, what the bench measured.

    tools/disturbance_table.py           rewrites the table from config/scenarios and its record
    tools/disturbance_table.py --check   says whether it is up to date (a test)

Figures come from config/scenarios/suite.record, which `rimebench suite config/scenarios --accept`
writes: the table can say nothing that was not run.
"""

import math
import pathlib
import sys

import yaml

ROOT = pathlib.Path(__file__).resolve().parent.parent
SCENARIOS = ROOT / "config" / "scenarios"
PAGE = ROOT / "firmware_sim" / "README.md"
BEGIN, END = "<!-- table of scenarios -->\n", "<!-- end of the table -->\n"
CLAIMS = {
    "steady": "Nothing goes wrong, or the line behaves as planned",
    "handled": "Handled: nothing bad that a sensor can tell passes the gate",
    "escape": "Not to be handled with the sensors wired: the bench shows what escapes",
    "lost": "The link to the controller fails: the run proves nothing, and the bench says so",
}
Z = 1.959964  # of a two-sided 95 % interval


def wilson_upper(count, of):
    """Upper end of Wilson's 95 % score interval (Wilson, J. Am. Stat. Assoc. 22, 1927)."""
    if of == 0:
        return 1.0
    share, spread = count / of, Z * Z / of
    middle = share + spread / 2
    half = Z * math.sqrt(share * (1 - share) / of + spread / (4 * of))
    return (middle + half) / (1 + spread)


def own_key(path, key):
    """A key of a scenario, its own or from the files it is made from."""
    while path is not None:
        tree = yaml.safe_load(path.read_text())
        if key in tree:
            return tree[key]
        path = path.parent / tree["from"] if "from" in tree else None
    return None


def percent(share):
    return f"{100 * share:.3g} %"


def row(name, figures):
    path = SCENARIOS / f"{name}.yaml"
    count = {key: int(value) for key, value in figures.items() if str(value).lstrip("-").isdigit()}
    escapes = count["escapes_sensed"] + count["escapes_unsensed"] + count["escapes_missed_by_gate"]
    good_side = count["containers"] - count["removed"]
    good = count["containers"] - escapes - (count["removed"] - count["false_rejects"])
    kinds = [f"{count[key]} {words}" for key, words in
             (("escapes_sensed", "not flagged"), ("escapes_unsensed", "no sensor"),
              ("escapes_missed_by_gate", "missed by the gate")) if count[key]]
    escaped = f"{escapes}" + (f" ({', '.join(kinds)})" if kinds else "")
    return [name, own_key(path, "title"), str(count["containers"]), escaped,
            f"< {percent(wilson_upper(escapes, good_side))}",
            f"{count['false_rejects']} ({percent(count['false_rejects'] / max(good, 1))})",
            figures["faults"].replace(" ", ", ")]


def table():
    record = yaml.safe_load((SCENARIOS / "suite.record").read_text())
    claims = {name: own_key(SCENARIOS / f"{name}.yaml", "claim") for name in record}
    lines = []
    for claim, heading in CLAIMS.items():
        names = [name for name in record if claims[name] == claim]
        lines += [f"### {heading}", ""]
        lines += ["| scenario | what happens, and what the controller does | containers | escapes | "
                  "rate of escapes, 95 % | false rejects | alarms |", "|---|---|---|---|---|---|---|"]
        lines += ["| " + " | ".join(row(name, record[name])) + " |" for name in names]
        lines.append("")
    return "\n".join(lines)


def main():
    text = PAGE.read_text()
    head, rest = text.split(BEGIN)
    _, tail = rest.split(END)
    wanted = head + BEGIN + "\n" + table() + "\n" + END + tail
    if "--check" not in sys.argv[1:]:
        PAGE.write_text(wanted)
        return 0
    if text != wanted:
        print("firmware_sim/README.md: its table of scenarios is not that of the record; "
              "run tools/disturbance_table.py")
        return 1
    print("firmware_sim/README.md: its table is that of the record")
    return 0


if __name__ == "__main__":
    sys.exit(main())
