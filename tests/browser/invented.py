"""Invented documents: every kind of block, as large and as odd as a report may be. Nothing here was
measured or run; a seeded generator made it up. Python's own generator is the same everywhere."""

import base64
import random
import struct
import zlib

CODES = {"i8": "b", "u8": "B", "i16": "h", "u16": "H", "i32": "i", "u32": "I", "f64": "d"}
FLAGS = ["flagged", "removed", "bad", "liquid-full", "met by a disturbance"]
CAUSES = ["none", "no_dose", "landing", "fill", "wait"]
NONE = 65535


def packed(columns):
    """Columns as (description, stored numbers) to the packed form."""
    data = b""
    for column, stored in columns:
        if column.get("delta"):
            stored = [now - before for now, before in zip(stored, [0] + stored)]
        data += struct.pack(f"<{len(stored)}{CODES[column['type']]}", *stored)
    return base64.b64encode(zlib.compress(data, 6)).decode()


def column(name, kind, label, stored, **more):
    return {"name": name, "type": kind, "label": label, **more}, stored


def container_columns(count, places, every_us, seed):
    chance = random.Random(seed)
    place = [1 + i % places for i in range(count)]
    at = [4_000_000 + every_us * (i // places) * places + 400_000 * (i % places) for i in range(count)]
    kpa = [min(NONE - 1, round(100 * chance.gauss(212 - 46 * (p - 1) / max(3, places), 9))) for p in place]
    offset = [round(chance.gauss(-300 + 150 * p, 700)) for p in place]
    shot = [chance.random() > 0.002 for _ in place]
    bad = [not s or k < 16700 for s, k in zip(shot, kpa)]
    flags = [4 * b + 3 * (b and chance.random() < 0.7) for b in bad]
    cause = [0 if not b else 1 if not s else 4 for b, s in zip(bad, shot)]
    opened = [600_000 + chance.randrange(0, 2000) for _ in place]

    def after(us):
        return [o + us + chance.randrange(0, 400) if s else 2**32 - 1 for o, s in zip(opened, shot)]

    moment = {"quantity": "time_us", "null": 2**32 - 1}
    return [
        column("container", "u8", "container", list(range(1, count + 1)), delta=True),
        column("place", "u8", "place in its group", place),
        column("sensor_us", "i32", "sensor edge", at, quantity="time_us", delta=True),
        column("equilibrium_kpa", "u16", "settled pressure", [k if s else NONE for k, s in zip(kpa, shot)],
               quantity="pressure_kpa", scale=0.01, null=NONE, null_means="no pressure"),
        column("hot_prompt_kpa", "u16", "prompt pressure, hot", [round(k * 1.55) for k in kpa],
               quantity="pressure_kpa", scale=0.01),
        column("landing_offset_um", "i16", "landing from the centre", [o if s else -32768 for o, s in zip(offset, shot)],
               quantity="length_um", null=-32768),
        column("sealed_mg", "u16", "nitrogen sealed in", [round(k * 0.38) for k in kpa], quantity="mass_mg", scale=0.01),
        column("flags", "u8", "what became of it", flags, bits=FLAGS),
        column("cause", "u8", "why it is bad", cause, words=CAUSES),
        column("command_open_us", "u32", "valve commanded open", after(0), **moment),
        column("command_close_us", "u32", "valve commanded shut", after(24_000), **moment),
        column("valve_open_us", "u32", "valve open", after(8_000), **moment),
        column("valve_close_us", "u32", "valve shut", after(30_000), **moment),
        column("landing_begin_us", "u32", "first liquid lands", after(17_000), **moment),
        column("landing_end_us", "u32", "last liquid lands", after(39_500), **moment),
        column("lid_us", "u32", "lid laid", [4_100_000 + 1_200_000 * (p - 1) for p in place], quantity="time_us"),
        column("seam_us", "u32", "seam closed", [4_400_000 + 1_200_000 * (p - 1) for p in place], quantity="time_us"),
    ]


def containers_block(count, places, every_us=1_500_000, seed=1):
    columns = container_columns(count, places, every_us, seed)
    return {
        "id": "containers", "heading": "Every container", "type": "containers", "count": count,
        "columns": [description for description, _ in columns],
        "limits": [
            {"column": "equilibrium_kpa", "name": "settled pressure", "least": 167.0, "most": 247.0},
            {"column": "hot_prompt_kpa", "name": "prompt pressure, hot", "most": 476.9},
        ],
        "landing": {"opening_um": 52400, "diameter_um": 66100, "lateral_um": 0, "jet_diameter_um": 1600},
        "data": packed(columns),
    }  # fmt: skip


def stored(block, name):
    """The numbers of one column again, read back from what is packed, None for none."""
    data, offset = zlib.decompress(base64.b64decode(block["data"])), 0
    for each in block["columns"]:
        code = f"<{block['count']}{CODES[each['type']]}"
        if each["name"] == name:
            values = list(struct.unpack_from(code, data, offset))
            if each.get("delta"):
                for i in range(1, len(values)):
                    values[i] += values[i - 1]
            scale = each.get("scale", 1)
            return [None if v == each.get("null") and not each.get("delta") else v * scale for v in values]
        offset += struct.calcsize(code)
    raise KeyError(name)


def line_block(places):
    return {
        "id": "line", "heading": "The line, to scale", "type": "line",
        "stations": [
            {"kind": "sensor", "name": "container sensor", "at_um": 250000},
            {"kind": "nozzle", "name": "nozzle", "at_um": 400000},
            {"kind": "lid", "name": "lid", "at_um": 860000},
            {"kind": "seamer", "name": "seamer", "at_um": 900000},
            {"kind": "discharge", "name": "discharge sensor", "at_um": 1200000},
            {"kind": "gate", "name": "reject gate", "at_um": 1800000},
        ],
        "nozzle_height_um": 20000, "jet_diameter_um": 1600,
        "container": {"diameter_um": 66100, "height_um": 122000, "opening_um": 52400, "fill_share": 0.94},
        "pitch_um": 100000, "heads": places, "group_pitch_um": 1500000, "queue": True,
        "at_shot": {"opens_um": -6300, "closes_um": 1200, "lands_um": 300, "fall_us": 9050, "open_us": 24000, "speed_um_per_s": 250000},
    }  # fmt: skip


def lanes_block(end_us):
    chance = random.Random(4)
    stops = sorted(chance.randrange(0, end_us - 30_000_000) for _ in range(6))
    return {
        "id": "happened", "heading": "What happened when", "type": "lanes", "end_us": end_us,
        "lanes": [
            {"name": "mode", "kind": "mode", "spans": [[0, 2_000_000, "starting"], [2_000_000, stops[2], "dosing"],
                                                       [stops[2], stops[2] + 40_000_000, "held"], [stops[2] + 40_000_000, end_us, "dosing"]]},
            {"name": "line stops", "kind": "disturbance", "spans": [[s, s + 20_000_000, "stop"] for s in stops]},
            {"name": "drops on the sensor", "kind": "disturbance", "spans": [[s + 31_000_000, s + 31_000_000] for s in stops]},
            {"name": "run permit lost", "kind": "permit", "spans": [[s, s + 20_000_000] for s in stops]},
            {"name": "container later than expected", "kind": "fault", "spans": [[stops[1] + 9_000_000, stops[1] + 9_000_000, "raised"]]},
            {"name": "nothing here", "kind": "fault", "spans": []},
        ],
    }  # fmt: skip


def timing_block():
    def picture(number, why):
        return {
            "container": number, "why": why, "title": f"Container {number}", "subtitle": "one shot, good, not flagged",
            "zero_us": 4_000_000 + 1_500_000 * (number - 1), "whole_us": [-180_000, 4_560_000],
            "shot_us": [594_000, 646_000], "shot_zero_us": 600_000,
            "lanes": [
                {"kind": "sensor", "name": "container sensor", "stretches": [[0, 262_000, 1], [400_000, 662_000, 0], [1_500_000, 1_762_000, 0]]},
                {"kind": "line_pulse", "name": "line pulse", "stretches": [[k * 200_000, k * 200_000 + 100_000, 0] for k in range(-1, 24)]},
                {"kind": "command", "name": "valve commanded", "stretches": [[600_000, 624_000, 1, "24.00 ms", "", ""], [1_000_000, 1_024_000, 0]]},
                {"kind": "valve", "name": "valve open", "stretches": [[608_000, 630_000, 1, "22.00 ms", "+8.00 ms", "+6.00 ms"], [1_008_000, 1_030_000, 0]]},
                {"kind": "landing", "name": "liquid lands", "stretches": [[617_000, 639_500, 1, "+0.3 mm from the centre", "+9.00 ms", "+9.50 ms"]]},
                {"kind": "closing", "name": "lid laid", "stretches": [[4_100_000, 4_100_000, 1]]},
                {"kind": "closing", "name": "seam closed", "stretches": [[4_400_000, 4_400_000, 1]]},
            ],
            "facts": [{"name": "sensor edge to open command", "value": {"value": 600000, "quantity": "time_us", "digits": 0}},
                      {"name": "dose at the nozzle", "value": {"value": 86.2, "quantity": "mass_mg", "digits": 1}}],
        }  # fmt: skip

    return {"id": "timing", "heading": "Timing of one container", "type": "timing",
            "pictures": [picture(1, "sample"), picture(3, "least of place 3"), picture(7, "sample")]}  # fmt: skip


def expectations_block():
    return {
        "id": "expectations", "heading": "What was expected", "type": "expectations",
        "rows": [
            {"name": "settled pressure", "outcome": "fail", "bound": "least", "allowed": {"value": 167.0, "quantity": "pressure_kpa", "digits": 1},
             "measured": {"value": 140.2, "quantity": "pressure_kpa", "digits": 1}, "looked_at": 396, "breaches": 96, "first_container": 3,
             "first_us": 16_629_000, "note": "the fourth waits 2.4 s longer than the first and loses a quarter of its nitrogen more"},
            {"name": "landing from the centre", "outcome": "pass", "bound": "most", "allowed": {"value": 10, "quantity": "length_mm", "digits": 1},
             "measured": {"value": 2.31, "quantity": "length_mm", "digits": 1}, "looked_at": 396, "breaches": 0},
            {"name": "faults raised", "outcome": "pass", "bound": "equals", "allowed": 0, "measured": 0},
            {"name": "time to close on a lost permit", "outcome": "inconclusive", "bound": "most", "allowed": {"value": 1000, "quantity": "time_us"}},
        ],
    }  # fmt: skip


def failures_block(count):
    return {
        "id": "failures", "heading": "Containers that failed", "type": "table", "container_column": 0, "total": count + 40,
        "columns": [{"name": "Container"}, {"name": "Place"}, {"name": "At", "quantity": "time_us", "digits": -0},
                    {"name": "Settled pressure", "quantity": "pressure_kpa", "digits": 1}, {"name": "Cause"}, {"name": "What befell it"}, {"name": "Nothing at all"}],
        "rows": [[3 + 4 * i, 3, 8_266_000 + 6_000_000 * i, 140 + i % 26, "wait"] + (["stop, chatter"] if i % 5 == 0 else []) for i in range(count)],
    }  # fmt: skip


def profile_block(end_us):
    points = [[0, 0], [4_000_000, 40]]
    at = 60_000_000
    while at + 30_000_000 < end_us:
        points += [[at, 40], [at + 1_000_000, 0], [at + 20_000_000, 0], [at + 23_000_000, 40]]
        at += end_us // 7
    return {"id": "speed", "heading": "Speed of the line", "type": "profile", "name": "containers a minute",
            "quantity": "rate_per_min", "points": points + [[end_us, 40]], "note": "Thinned; least and most are kept."}  # fmt: skip


# A value, and how a reader reads it in the units first shown and with pressures in psi.
NUMBERS = [
    ({"value": 7_199_960_000, "quantity": "time_us"}, "2\u00a0h", None),
    ({"value": 3_725.04, "quantity": "time_s"}, "1\u00a0h 2\u00a0min 5\u00a0s", None),
    ({"value": 179.97, "quantity": "time_s"}, "3\u00a0min", None),
    ({"value": 606_831_444, "quantity": "time_us"}, "10\u00a0min 6.8\u00a0s", None),
    ({"value": 24_380, "quantity": "time_us"}, "24.38\u00a0ms", None),
    ({"value": 207.44, "quantity": "pressure_kpa"}, "207.4\u00a0kPa", "30.1\u00a0psi"),
    ({"value": 620, "quantity": "pressure_kpa", "digits": 0}, "620\u00a0kPa", "90\u00a0psi"),
    ({"value": 140_200, "quantity": "pressure_pa"}, "140.2\u00a0kPa", "20.3\u00a0psi"),
    ({"value": -40, "quantity": "length_um", "digits": -2}, "0.0\u00a0mm", None),
    ({"value": -6300, "quantity": "length_um", "digits": -2}, "\u22126.3\u00a0mm", None),
    ({"value": 12345.6, "quantity": "mass_mg", "digits": 1}, "12\u202f345.6\u00a0mg", None),
    ({"value": 24.242, "quantity": "share_percent"}, "24.24\u202f%", None),
    ({"value": None, "quantity": "pressure_kpa"}, "none", "none"),
    (258329, "258\u202f329", None),
    (None, "–", None),
    ("as it stands", "as it stands", None),
]


def numbers_block():
    rows = [{"name": f"number {i}", "value": value, "note": "n"} for i, (value, _, _) in enumerate(NUMBERS)]
    return {"id": "numbers", "heading": "Numbers", "type": "facts", "rows": rows}


def sensitivities_block():
    rows = [("boil-off time on the belt", 182.4, 224.1), ("gas temperature at the seam", 214.9, 199.0), ("sweep efficiency", 196.2, 209.3),
            ("wall compliance", 208.8, 205.9), ("fill", None, 211.0)]  # fmt: skip
    return {"id": "matters", "heading": "Which unmeasured figure matters most", "type": "bars", "name": "settled pressure of the last place",
            "quantity": "pressure_kpa", "digits": 1, "base": 207.3,
            "rows": [{"name": name, "low": low, "high": high, **({"note": "from 6.4 s to 9.6 s"} if i == 0 else {})}
                     for i, (name, low, high) in enumerate(rows)]}  # fmt: skip


def signoff_block():
    return {
        "id": "signoff", "heading": "Sign-off", "type": "signoff",
        "rows": [
            {"limit": "rating of the container", "value": {"value": 620, "quantity": "pressure_kpa", "digits": 0}, "owner": "container maker", "document": "invented sheet 12", "date": None, "signature": None},
            {"limit": "least settled pressure", "value": {"value": 167, "quantity": "pressure_kpa", "digits": 0}, "owner": "brand quality"},
            {"limit": "oxygen in the room", "value": {"value": 19.5, "quantity": "share_percent", "digits": 1}, "owner": None},
        ],
    }  # fmt: skip


def frame(kind, title, outcome, why, blocks):
    return {
        "format": "rimebench report 1", "title": title, "subtitle": "invented for the tests of the page", "kind": kind,
        "verdict": {"outcome": outcome, "why": why, "figures": [
            {"name": "containers finished", "value": 396}, {"name": "escapes", "value": {"value": 24.242, "quantity": "share_percent", "digits": 2}, "note": "96 of 396"},
            {"name": "settled pressure, mean", "value": {"value": 183.4, "quantity": "pressure_kpa", "digits": 1}},
            {"name": "nitrogen through the valve", "value": {"value": 34.82, "quantity": "mass_g", "digits": 1}}]},
        "about": [{"name": "scenario", "value": "invented.yaml", "note": "XXH64 0123456789abcdef"}, {"name": "seed", "value": "1"},
                  {"name": "end of line time", "value": {"value": 606_831_444, "quantity": "time_us", "digits": 0}}],
        "repeat": "rimebench run config/scenarios/invented.yaml --seed 1",
        "cautions": ["Liquid nitrogen burns, displaces oxygen and can burst a closed pack.",
                     "The container supplier's rating, local codes and licensed practice decide."],
        "blocks": blocks,
    }  # fmt: skip


def whole_run(count=396, places=4, outcome="fail", every_us=1_500_000):
    end_us = every_us * count + 12_000_000
    blocks = [expectations_block(), line_block(places), containers_block(count, places, every_us), timing_block(),
              lanes_block(end_us), failures_block(60), profile_block(end_us),
              {"id": "gate", "heading": "What passed the gate", "type": "facts", "rows": [
                  {"name": "taken out at the gate", "value": 0}, {"name": "escapes", "value": 96, "note": "24.242 %, 95 % confidence 20.282 to 28.698 %"}]},
              sensitivities_block(), signoff_block(), numbers_block()]  # fmt: skip
    why = ["Settled pressure is below its limit: the last of a group is soft.", "96 of 396 containers, the first is container 3 at 16.629 s."]
    return frame("run", "four heads at once, the same dose for all", outcome, why, blocks)


def suite():
    outcomes = ["pass", "fail", "pass", "inconclusive"]
    rows = [[f"scenario_{i:02}", outcomes[i % 4], "handled", 396 + i, f"{i * 7919:016x}"] for i in range(80)]
    table = {"id": "scenarios", "heading": "Scenarios", "type": "table",
             "columns": [{"name": "Scenario"}, {"name": "Outcome", "kind": "outcome"}, {"name": "Claim"}, {"name": "Containers", "align": "right"}, {"name": "Digest", "kind": "code"}],
             "rows": rows}  # fmt: skip
    return frame("suite", "config/scenarios", "pass", ["Every scenario keeps its claim and its record."], [table])


def plan():
    loss = {"id": "losses", "heading": "From nozzle to seam", "type": "table",
            "columns": [{"name": "Place"}, {"name": "Dose", "quantity": "mass_mg", "digits": 1}, {"name": "Valve open", "quantity": "time_us", "digits": 0}],
            "rows": [[place, 70 + 8.13 * place, 18_000 + 2_100 * place] for place in range(1, 5)]}  # fmt: skip
    text = {"id": "dangers", "heading": "Dangers", "type": "text", "paragraphs": ["A full spill takes the room to 17.2 % oxygen."]}
    return frame("plan", "four heads, 355 ml", "none", ["The dose is planned, not proven."], [loss, text, line_block(4), sensitivities_block(), signoff_block()])


def odd():
    """Things a page must live with: unknown and broken blocks, nothing in them, hostile text."""
    hostile = "</script><img src=x onerror=alert(1)> & \"quotes\" \u202e"
    broken = containers_block(20, 2)
    broken["data"] = broken["data"][:40]
    empty = {**containers_block(1, 1), "id": "empty", "count": 0, "data": base64.b64encode(zlib.compress(b"")).decode()}
    blocks = [
        {"id": "later", "heading": "A block of a later version", "type": "hologram"}, {**broken, "id": "broken"}, empty,
        {"id": "none", "heading": "No rows", "type": "table", "columns": [{"name": "A"}], "rows": []},
        {"id": "still", "heading": "Speed", "type": "profile", "name": "speed", "quantity": "rate_per_min", "points": [[0, 600]]},
        {"id": "quiet", "heading": "What happened", "type": "lanes", "lanes": [], "end_us": 1000},
        {"id": "hostile", "heading": hostile, "type": "facts", "rows": [{"name": hostile, "value": hostile, "note": hostile}]},
        {**timing_block(), "id": "alone"},
    ]  # fmt: skip
    return {"format": "rimebench report 1", "title": hostile, "kind": "audit", "verdict": {"outcome": "inconclusive", "why": []}, "about": [], "blocks": blocks}


DOCUMENTS = {
    "run": whole_run,
    "pass": lambda: whole_run(40, 1, "pass"),
    "many_places": lambda: whole_run(480, 12),
    "shift": lambda: whole_run(288_000, 4, "fail", 100_000),
    "suite": suite,
    "plan": plan,
    "odd": odd,
}
