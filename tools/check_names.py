#!/usr/bin/env python3
"""A constant of a header has a name of its own: two of one name would be one for the linker."""

import re
import sys
from collections import defaultdict

from sources import LAYERS, code_only, cpp_files, line_of, run

_CONSTANT = re.compile(r"^inline\s+(?:constexpr|const)\s[^=({;]*?\b(k[A-Z]\w*)\s*(?=[={\[])", re.M)
_NAMESPACE = re.compile(r"^namespace\s+([\w:]+)\s*\{", re.M)


def constants(text):
    """Yields (name with its namespace, offset) of each constant at the outermost level."""
    code = code_only(text)
    spaces = [(match.start(), match[1]) for match in _NAMESPACE.finditer(code)]
    for match in _CONSTANT.finditer(code):
        around = [name for start, name in spaces if start < match.start()]
        yield (around[-1] if around else "") + "::" + match[1], match.start()


def check(root):
    places, findings = defaultdict(dict), []
    for path in cpp_files(root, LAYERS):
        name, text = path.relative_to(root).as_posix(), path.read_text()
        if not name.endswith(".hpp"):
            continue
        for constant, at in constants(text):  # of one file, the preprocessor chooses
            places[constant].setdefault(name, line_of(text, at))
    for constant, where in sorted(places.items()):
        first, *others = where.items()
        for name, line in others:
            findings.append(f"{name}:{line}: {constant} stands in {first[0]}:{first[1]} too")
    return findings


if __name__ == "__main__":
    sys.exit(run(check))
