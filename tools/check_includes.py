#!/usr/bin/env python3
"""Who may include whom. The table is the architecture: what it does not list is an error.

Also: the table has no cycle, every room folder stands in it, and the link dependencies of
CMakeLists.txt say the same.
"""

import re
import sys

from sources import LAYERS, cpp_files, line_of, run

UNITS, CONTRACT = "firmware_sim/units", "firmware_sim/contract"
CORE, WIRE, PORT = "firmware_sim/core", "firmware_sim/wire", "firmware_sim/port"
STAND_IN = "firmware_sim/stand_in"
SPEC, KERNEL, PHYSICS = "plant_model/spec", "plant_model/kernel", "plant_model/physics"
PACKAGE = "plant_model/package"
LINE, PLANNER = "plant_model/line", "plant_model/planner"
CONFIG, TRACE, INTAKE = "harness/config", "harness/trace", "harness/intake"
LINK, SESSION, JUDGE = "harness/link", "harness/session", "harness/judge"
AUDIT, CAMPAIGN = "harness/audit", "harness/campaign"
CONFORMANCE, REPORT, CLI = "harness/conformance", "harness/report", "harness/cli"
DOSSIER = "harness/dossier"

MAY_INCLUDE = {
    UNITS: [],
    CONTRACT: [UNITS],
    CORE: [UNITS, CONTRACT],
    WIRE: [UNITS, CONTRACT],
    PORT: [UNITS, CONTRACT, CORE, WIRE],
    STAND_IN: [UNITS, CONTRACT, CORE],
    SPEC: [UNITS, CONTRACT],
    KERNEL: [UNITS],
    PHYSICS: [],
    PACKAGE: [UNITS, CONTRACT, SPEC, PHYSICS],
    LINE: [UNITS, CONTRACT, SPEC, KERNEL, PHYSICS, PACKAGE],
    PLANNER: [UNITS, CONTRACT, SPEC, PHYSICS, PACKAGE],
    CONFIG: [UNITS, CONTRACT, SPEC],
    TRACE: [UNITS, CONTRACT, SPEC],
    INTAKE: [UNITS, CONTRACT, SPEC, TRACE, CONFIG],
    LINK: [UNITS, CONTRACT, WIRE],
    SESSION: [UNITS, CONTRACT, SPEC, KERNEL, LINE, LINK, TRACE, CONFIG],
    JUDGE: [CONTRACT, SPEC, CONFIG, TRACE],
    AUDIT: [UNITS, CONTRACT, SPEC, PLANNER, LINK, TRACE],
    CAMPAIGN: [UNITS, CONTRACT, SPEC, LINE, CONFIG, TRACE, LINK, SESSION, JUDGE],
    CONFORMANCE: [UNITS, CONTRACT, WIRE, LINK],
    REPORT: [UNITS, CONTRACT, CONFIG],
    DOSSIER: [
        *(UNITS, CONTRACT, SPEC, PHYSICS, LINE, PLANNER),
        *(CONFIG, TRACE, JUDGE, AUDIT, CAMPAIGN, REPORT),
    ],
}
MAY_INCLUDE[CLI] = list(MAY_INCLUDE)
MAY_INCLUDE["tools"] = list(MAY_INCLUDE)
MAY_INCLUDE["tests"] = list(MAY_INCLUDE)

_INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*(["<])([^">]+)[">]', re.MULTILINE)
_ROOM = re.compile(r"^room\(\s*([^)]*)\)", re.MULTILINE)


def room_of(path):
    """The row a path belongs to: "tests", "tools" or a folder of two parts; None for no room."""
    parts = path.split("/")
    if parts[0] in ("tests", "tools"):
        return parts[0]
    return "/".join(parts[:2]) if parts[0] in LAYERS and len(parts) > 2 else None


def unlisted_rooms(root):
    for layer in LAYERS:
        for entry in sorted((root / layer).glob("*")):
            room = f"{layer}/{entry.name}"
            if entry.is_dir() and any(entry.iterdir()) and room not in MAY_INCLUDE:
                yield f"{room}: a room that does not stand in the table"


def forbidden_includes(root):
    for path in cpp_files(root, LAYERS + ("tools", "tests")):
        name = path.relative_to(root).as_posix()
        room, text = room_of(name), path.read_text()
        if room is None:
            yield f"{name}:1: a source file must stand in a room"
            continue
        for match in _INCLUDE.finditer(text):
            target = match[2]
            here, target_room = f"{name}:{line_of(text, match.start())}", room_of(target)
            if match[1] == '"' and not (root / target).is_file():
                yield f'{here}: "{target}" is not a file seen from the top folder'
            elif target_room not in (None, room, *MAY_INCLUDE.get(room, [])):
                yield f"{here}: {room} must not include {target_room}"


def reach(graph, start):
    """Every node that can be reached from start, which is itself in it only on a cycle."""
    seen, waiting = set(), list(graph.get(start, []))
    while waiting:
        node = waiting.pop()
        if node not in seen:
            seen.add(node)
            waiting.extend(graph.get(node, []))
    return seen


def cycles(graph):
    return [f"{node} depends on itself" for node in graph if node in reach(graph, node)]


def link_disagreements(root):
    """A room links to no room it may not include, and reaches every room it may."""
    cmake = root / "CMakeLists.txt"
    if not cmake.is_file():
        return
    rows = [match[1].split() for match in _ROOM.finditer(cmake.read_text())]
    folders = {"room_" + words[0].split("/")[1]: words[0] for words in rows}
    links = {w[0]: [folders.get(d, d) for d in w[1:] if d.startswith("room_")] for w in rows}
    yield from (f"CMakeLists.txt: {cycle}" for cycle in cycles(links))
    for room, direct in links.items():
        allowed = MAY_INCLUDE.get(room, [])
        for target in direct:
            if target not in allowed:
                yield f"CMakeLists.txt: {room} must not link to {target}"
        for target in allowed:
            if target in links and target not in reach(links, room):
                yield f"CMakeLists.txt: {room} may include {target} but does not link to it"


def check(root):
    return [
        *(f"the table: {cycle}" for cycle in cycles(MAY_INCLUDE)),
        *unlisted_rooms(root),
        *forbidden_includes(root),
        *link_disagreements(root),
    ]


if __name__ == "__main__":
    sys.exit(run(check))
