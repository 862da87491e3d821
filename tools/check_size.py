#!/usr/bin/env python3
"""A function is a screen: at most 50 lines and 5 parameters; a file has at most 400 lines.

Functions are found by their braces in clang-formatted code: a body is a brace that follows a
parameter list, outside any other body. A lambda counts to the function it stands in.
"""

import re
import sys

from sources import LAYERS, code_only, cpp_files, line_of, run

FILE_LINES, FUNCTION_LINES, PARAMETERS = 400, 50, 5

_DIRECTIVE = re.compile(r"^[ \t]*#(?:[^\n]*\\\n)*[^\n]*", re.MULTILINE)
_BODY_FOLLOWS = re.compile(r"[)}](\s|const|noexcept|override|final|&)*(->[^(){}]*)?$")
_SCOPE = re.compile(r"\b(namespace|class|struct|union|enum|extern)\b[^()=]*$")
_ACCESS = re.compile(r"\b(public|private|protected)\s*:")
_NOT_A_NAME = ("alignas", "decltype", "explicit", "noexcept", "requires")


def closing(code, opening):
    """Where the brace or parenthesis at `opening` closes."""
    opens, closes, depth = code[opening], {"{": "}", "(": ")"}[code[opening]], 0
    for offset in range(opening, len(code)):
        depth += (code[offset] == opens) - (code[offset] == closes)
        if depth == 0:
            return offset
    return len(code) - 1


def parameter_list(head):
    """The text between the parentheses of a function's parameters, or None where none are."""
    if head.lstrip().startswith("static_assert"):
        return None
    for match in re.finditer(r"(operator\s*(?:\(\)|[^\s\w(]+)|[\w~]+)\s*\(", head):
        if "=" in head[: match.start()] or match[1] in _NOT_A_NAME:
            continue
        return head[match.end() : closing(head, match.end() - 1)]
    return None


def count_parameters(text):
    """Commas that stand in no bracket of their own, plus one."""
    depth, commas = 0, 0
    for character in text.replace("->", "  "):
        depth += (character in "(<{[") - (character in ")>}]")
        commas += character == "," and depth == 0
    return commas + 1 if text.strip() not in ("", "void") else 0


def functions(code):
    """Yields (start, end, parameters) of each function, end None for a mere declaration."""
    head, at = 0, 0
    while at < len(code):
        character, text = code[at], _ACCESS.sub(lambda m: " " * len(m[0]), code[head:at])
        if character == "(":
            at = closing(code, at)
        elif character in ";}":
            if (found := parameter_list(text)) is not None and character == ";":
                yield head + len(text) - len(text.lstrip()), None, found
            head = at + 1
        elif character == "{":
            found = parameter_list(text)
            if found is not None and _BODY_FOLLOWS.search(text.rstrip()):
                end = closing(code, at)
                yield head + len(text) - len(text.lstrip()), end, found
                head, at = end + 1, end
            elif _SCOPE.search(text):
                head = at + 1
            else:  # a braced value: part of the head it stands in
                at = closing(code, at)
        at += 1


def check_file(name, text):
    lines = text.count("\n")
    if lines > FILE_LINES:
        yield f"{name}:1: {lines} lines, {FILE_LINES} allowed"
    code = _DIRECTIVE.sub(lambda m: re.sub(r"[^\n]", " ", m[0]), code_only(text))
    for start, end, parameters in functions(code):
        line = line_of(code, start)
        length = 0 if end is None else line_of(code, end) - line + 1
        if length > FUNCTION_LINES:
            yield f"{name}:{line}: a function of {length} lines, {FUNCTION_LINES} allowed"
        if (count := count_parameters(parameters)) > PARAMETERS:
            yield f"{name}:{line}: a function of {count} parameters, {PARAMETERS} allowed"


def check(root):
    findings = []
    for path in cpp_files(root, LAYERS + ("tools",)):
        findings += check_file(path.relative_to(root).as_posix(), path.read_text())
    return findings


if __name__ == "__main__":
    sys.exit(run(check))
