"""What the checks share: finding our C++ files, blanking what is not code, running as a script."""

import re
import sys
from pathlib import Path

LAYERS = ("firmware_sim", "plant_model", "harness")

# A comment, a raw string, a string, a character. A digit separator (1'000) is not a character.
_NOT_CODE = re.compile(
    r"//[^\n]*"
    r"|/\*.*?\*/"
    r'|R"(?P<mark>[^(\s]*)\(.*?\)(?P=mark)"'
    r'|"(?:\\.|[^"\\\n])*"'
    r"|(?<![0-9A-Fa-f])'(?:\\.|[^'\\\n])+'",
    re.DOTALL,
)


def cpp_files(root, folders):
    """Every C++ file below the folders, in a fixed order."""
    for folder in folders:
        for path in sorted((Path(root) / folder).rglob("*")):
            if path.suffix in (".hpp", ".cpp", ".h", ".cc", ".c") and path.is_file():
                yield path


def code_only(text):
    """The text with comments and strings blanked; every line keeps its number."""

    def blank(match):
        inside = re.sub(r"[^\n]", " ", match.group())
        return '""' + inside[2:] if match.group().endswith('"') else inside

    return _NOT_CODE.sub(blank, text)


def line_of(text, offset):
    return text.count("\n", 0, offset) + 1


def run(check):
    """The main of a check: prints what check(root) finds and returns the exit code."""
    root = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent.parent
    findings = check(root)
    for finding in findings:
        print(finding)
    print(f"{Path(sys.argv[0]).name}: {len(findings)} found")
    return 1 if findings else 0
