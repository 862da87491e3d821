#!/usr/bin/env python3
"""Makes the demo's evidence of a line that was never there: nasty speed logs and captures of wires.

tools/demo_evidence.py [FOLDER]: writes into config/logs, or FOLDER. RIMEBENCH_COMMAND is the program
whose plant makes the captures. Everything is drawn from one seed: the same files every time.
"""

import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
SEED = 355
INVENTED = "Invented for the demo, not recorded anywhere"

# The line of the captures is not quite the one that its files describe.
REAL_LINE = """from: {root}/config/scenarios/speed_ramp.yaml
seed: {seed}
feed_us: 40000000
line:
  from: {root}/config/lines/rotary.yaml
  sensor: {{on_delay_us: 2300, off_delay_us: 2300, jitter_sd_us: 150}}
  valve: {{open_delay_us: 11500, close_delay_us: 7200, jitter_sd_us: 300, flow_ug_per_us: 3.5,
          flow_sd_percent: 3, feedback_delay_us: 0}}
speed:
  - {{at_us: 0, containers_per_min: 320}}
  - {{at_us: 10000000, containers_per_min: 320}}
  - {{at_us: 22000000, containers_per_min: 560}}
  - {{at_us: 34000000, containers_per_min: 560}}
  - {{at_us: 40000000, containers_per_min: 400}}
expect: {{containers_min: 0}}
"""
# Wire of the analyser, channel, and whether low is 1.
WIRES = (
    ("D0", "line_pulse", False),
    ("D1", "container_sensor", True),
    ("D2", "valve", False),
    ("D3", "valve_actual", False),
    ("D4", "run_permit", False),
    ("D5", "reject", False),
)


def rimebench(*words, cwd):
    command = os.environ.get("RIMEBENCH_COMMAND", str(ROOT / "build/rimebench"))
    subprocess.run([command, *words], cwd=cwd, stdout=subprocess.DEVNULL, check=False)


def wires_of_a_run():
    """{channel: [(time in us, level), ...]} of the line above, and its end."""
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        (folder / "real.yaml").write_text(REAL_LINE.format(root=ROOT, seed=SEED))
        rimebench("run", "real.yaml", "--trace", "real.trace", cwd=folder)
        rimebench("export", "real.trace", "--vcd", "real.vcd", "--wires-only", cwd=folder)
        text = (folder / "real.vcd").read_text()
    names = {code: name for code, name in re.findall(r"\$var wire 1 (\S+) (\w+) \$end", text)}
    changes, now = {channel: [] for _, channel, _ in WIRES}, 0
    for word in text.split("$enddefinitions $end", 1)[1].split():
        if word.startswith("#"):
            now = int(word[1:])
        elif word[0] in "01" and names.get(word[1:]) in changes:
            if now > 0:
                changes[names[word[1:]]].append((now, int(word[0])))
    return changes, now


def plant_faults(changes):
    """Takes one shot out, puts one in behind another, and takes a container from under a third."""
    valve, actual = changes["valve"], changes["valve_actual"]
    twice = valve[241][0] + 14_000
    del changes["container_sensor"][300:302]
    for shots, delay in ((valve, (0, 0)), (actual, (11_500, 7_200))):
        del shots[120:122]
        shots += [(twice + delay[0], 1), (twice + 7_000 + delay[1], 0)]
        shots.sort()


def bounce(changes, chance):
    """A contact that bounces now and then as it closes."""
    edges = []
    for at, level in changes["container_sensor"]:
        edges.append((at, level))
        if level == 1 and chance.random() < 0.05:
            edges += [(at + 90, 0), (at + 160, 1)]
    changes["container_sensor"] = edges


def all_edges(changes):
    edges = []
    for wire, channel, inverted in WIRES:
        edges += [(at, wire, level ^ inverted) for at, level in changes[channel]]
    return sorted(edges)


def write_dump(file, changes, end):
    code = {wire: chr(33 + i) for i, (wire, _, _) in enumerate(WIRES)}
    lines = [f"$comment {INVENTED}: tools/demo_evidence.py, seed {SEED} $end", "$timescale 1 us $end"]
    lines += ["$scope module analyser $end"]
    lines += [f"$var wire 1 {code[wire]} {wire} $end" for wire, _, _ in WIRES]
    lines += ["$upscope $end", "$enddefinitions $end", "#0", "$dumpvars"]
    lines += [f"{int(inverted)}{code[wire]}" for wire, _, inverted in WIRES] + ["$end"]
    last = 0
    for at, wire, level in all_edges(changes):
        if at != last:
            lines.append(f"#{at}")
        last = at
        lines.append(f"{level}{code[wire]}")
    file.write_text("\n".join([*lines, f"#{end}"]) + "\n")


def write_table(file, changes, first, last):
    """Rows at changes only, times from a trigger in the middle; it begins and ends anywhere."""
    levels = {wire: int(inverted) for wire, _, inverted in WIRES}
    trigger = (first + last) // 2
    rows, begun = [], False
    for at, wire, level in all_edges(changes):
        if at > last:
            break
        if at >= first and not begun:
            begun = True
            rows.append([f"{(first - trigger) / 1e6:.6f}", *map(str, levels.values())])
        levels[wire] = level
        if at >= first:
            rows.append([f"{(at - trigger) / 1e6:.6f}", *map(str, levels.values())])
    head = [f"; {INVENTED}: tools/demo_evidence.py, seed {SEED}", "Time [s]," + ",".join(levels)]
    file.write_text("\n".join(head + [",".join(row) for row in rows]) + "\n")


def speed_at(second):
    """A shift that starts up, is nudged, has a slow spell and stands twice."""
    if second < 40:
        return second * 12.0
    if 300 <= second < 345 or 700 <= second < 790:
        return 0.0
    return 312.0 if 450 <= second < 600 else 480.0


def write_tuesday(file, chance):
    """Month or day first? Nothing in it tells. AM and PM, a quality column, BAD, repeats, a gap."""
    rows = ["Timestamp,Line speed [1/min],Quality,Note"]
    rows.append(f"03/04/2026 5:59:58 PM,0,192,{INVENTED}: tools/demo_evidence.py")
    for second in range(0, 900, 2):
        if 610 <= second < 652:
            continue
        minute, rest = divmod(second, 60)
        stamp = f"03/04/2026 6:{minute:02}:{rest:02} PM"
        speed = speed_at(second) + (chance.gauss(0, 1.5) if speed_at(second) > 0 else 0)
        word, quality = f"{speed:.1f}", 192
        if chance.random() < 0.02:
            word, quality = chance.choice([("BAD", 0), ("NODATA", 0), ("", 0), ("9999", 64)])
        rows.append(f"{stamp},{word},{quality},")
        if chance.random() < 0.02:
            rows.append(rows[-1])
    file.write_bytes("\r\n".join(rows).encode() + b"\r\n03/04/2026 6:15:0")


def write_night(file, chance):
    """UTF-16, semicolons, decimal commas, a preamble, the hour that comes twice in autumn."""
    rows = [INVENTED, "tools/demo_evidence.py", "", "Datum;Zeit;Geschwindigkeit;Charge", ";;1/min;"]
    for minute in range(0, 240):
        hour, rest = divmod(60 + minute, 60)
        hour = hour if hour < 3 else hour - 1
        speed = speed_at(45 + minute * 3) + chance.gauss(0, 1)
        if minute == 130:
            rows += ["", "Datum;Zeit;Geschwindigkeit;Charge"]
        word = f"{max(speed, 0):.1f}".replace(".", ",")
        rows.append(f"25.10.2026;{hour:02}:{rest:02}:00;{word};A7")
    file.write_bytes(b"\xff\xfe" + ("\r\n".join(rows) + "\r\n").encode("utf-16-le"))


def write_encoder(file, chance):
    """The total of a 16-bit pulse counter, four pulses a container; it wraps; written at changes only."""
    rows = [f"# {INVENTED}: tools/demo_evidence.py, seed {SEED}", "elapsed [s]\tencoder count"]
    total, at, last = 65_000.0, 0.0, None
    while at < 900:
        total += 4 * speed_at(at) / 60 * 0.5
        count = int(total) % 65_536
        if count != last:
            rows.append(f"{at + chance.uniform(0, 0.004):.3f}\t{count}")
        last = count
        at += 0.5
    file.write_text("\n".join(rows) + "\n")


def main():
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "config/logs"
    write_tuesday(folder / "tuesday.csv", random.Random(SEED))
    write_night(folder / "autumn_night.csv", random.Random(SEED + 1))
    write_encoder(folder / "encoder_total.tsv", random.Random(SEED + 2))
    changes, end = wires_of_a_run()
    plant_faults(changes)
    bounce(changes, random.Random(SEED + 3))
    write_dump(folder / "wires.vcd", changes, end)
    write_table(folder / "wires_part.csv", changes, 12_034_000, 20_000_000)
    return 0


if __name__ == "__main__":
    sys.exit(main())
