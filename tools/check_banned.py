#!/usr/bin/env python3
"""What would make two runs of one scenario differ, or put work where it does not belong."""

import re
import sys
from dataclasses import dataclass

from sources import LAYERS, code_only, cpp_files, line_of, run

WALL = ("harness/link", "firmware_sim/port")
FREESTANDING = tuple("firmware_sim/" + room for room in ("units", "contract", "core", "wire"))
FUNCTIONS = (
    "exp|exp2|expm1|log|log2|log10|log1p|pow|cbrt|hypot|sin|cos|tan|asin|acos|atan|atan2"
    "|sinh|cosh|tanh|asinh|acosh|atanh|erf|erfc|tgamma|lgamma"
)


@dataclass(frozen=True)
class Rule:
    pattern: str
    why: str
    where: tuple = LAYERS
    except_in: tuple = ()


RULES = (
    Rule(
        r"\b(system|steady|high_resolution|utc|file)_clock\b|\b(steady|system|deadline)_timer\b"
        r"|\b(gettimeofday|clock_gettime|timespec_get)\b"
        r"|\btime\s*\(\s*(nullptr|NULL|0|&\s*\w+)\s*\)"
        r"|\bclock\s*\(\s*\)|\b__(DATE|TIME|TIMESTAMP)__\b",
        "reads the wall clock; time comes from the inputs",
        LAYERS + ("tests",),
        WALL,
    ),
    Rule(
        r"\bsleep_(for|until)\s*\(|\bu?sleep\s*\(|\bnanosleep\s*\(",
        "sleeps; wait for what is to happen instead",
        LAYERS + ("tests",),
        WALL,
    ),
    Rule(
        r"\brandom_device\b|\b(s?rand|rand_r|[dlm]rand48)\s*\(|\bdefault_random_engine\b"
        r"|\bstd::\w+_distribution\b|\bstd::(shuffle|sample)\b",
        "is not the same chance everywhere; draw from plant_model/kernel",
        LAYERS + ("tests",),
        WALL,
    ),
    Rule(
        r"\bunordered_(multi)?(map|set)\b",
        "has no order to be iterated in; use a sorted container",
        LAYERS,
        WALL,
    ),
    Rule(
        r"\b(multi)?(map|set)\s*<\s*(const\s+)?[\w:]+(\s+const)?\s*\*",
        "is ordered by address, which differs from run to run; key it by a number",
        LAYERS,
        WALL,
    ),
    Rule(
        rf"(?<![\w.>:])(std::|::)?({FUNCTIONS})[fl]?\s*\(",
        "differs in its last bit between processors; only + - * / sqrt here",
        LAYERS,
        ("plant_model/physics", "plant_model/planner", "harness/audit", "harness/judge", "harness/report"),
    ),
    Rule(
        r"\bspdlog\b",
        "logs; only harness (but not its judge) and firmware_sim/port may",
        FREESTANDING + ("plant_model", "harness/judge"),
    ),
    Rule(
        r"\b(float|double)\b|(?<![\w.])(\d+\.\d*|\.\d+|\d+[eE][+-]?\d+)",
        "is floating point; the controller's side uses integers only",
        FREESTANDING,
    ),
)


def lies_in(name, folders):
    return any(name.startswith(folder + "/") for folder in folders)


def check(root):
    findings = []
    for path in cpp_files(root, LAYERS + ("tests",)):
        name, text = path.relative_to(root).as_posix(), path.read_text()
        code = code_only(text)
        rules = [r for r in RULES if lies_in(name, r.where) and not lies_in(name, r.except_in)]
        for rule in rules:
            for match in re.finditer(rule.pattern, code):
                found = " ".join(match.group().split()).rstrip("(").strip()
                findings.append(f"{name}:{line_of(text, match.start())}: {found} {rule.why}")
    return findings


if __name__ == "__main__":
    sys.exit(run(check))
