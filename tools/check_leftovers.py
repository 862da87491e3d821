#!/usr/bin/env python3
"""What must not be left in a file: a path of somebody's machine, a note of unfinished work."""

import re
import sys

from sources import line_of, run

_SKIPPED = (".git", "build")
_FOREIGN = {"__pycache__", "node_modules"}
_MACHINE = re.compile(r"(?<![\w.~/-])/(?:work|root|home)\b")
_SCRATCH = re.compile(r"(?<![\w.~/-])/(?:tmp)/")
_UNFINISHED = re.compile(r"\b(?:TO[D]O|FIX[M]E|XX[X]|HA[C]K)\b")
_SOURCES = (".cpp", ".hpp", ".py", ".h", ".c", ".S")


def check(root):
    findings = []
    skipped = _SKIPPED + tuple(made.parent.name for made in root.glob("*/CMakeCache.txt"))
    for path in sorted(root.rglob("*")):
        name = path.relative_to(root).as_posix()
        folders = name.split("/")
        if folders[0] in skipped or _FOREIGN & set(folders) or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        patterns = [(_MACHINE, "is a path of one machine")]
        if not name.startswith("tests/"):
            patterns.append((_SCRATCH, "is a path of one machine"))
        if path.suffix in _SOURCES:
            patterns.append((_UNFINISHED, "marks unfinished work"))
        for pattern, why in patterns:
            for match in pattern.finditer(text):
                findings.append(f"{name}:{line_of(text, match.start())}: {match.group()} {why}")
    return findings


if __name__ == "__main__":
    sys.exit(run(check))
