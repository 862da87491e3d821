#!/usr/bin/env python3
"""The suite from the shell: exit codes, the record, JUnit as Python's own XML parser reads it."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

RIMEBENCH = os.environ["RIMEBENCH_COMMAND"]
CONFIG = Path("config").resolve()


def suite(folder, *options):
    command = [RIMEBENCH, "suite", str(folder), *options]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def expect(found, wanted, what):
    if found != wanted:
        sys.exit(f"{what}: {found!r}, not {wanted!r}")


def holds_to_schema(junit):
    """As an independent reader sees it."""
    if shutil.which("xmllint") is None:
        return
    command = ["xmllint", "--noout", "--schema", "tests/campaign/junit.xsd", str(junit)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    expect(done.returncode, 0, f"xmllint: {done.stderr}")


def check(folder):
    expect(suite(folder).returncode, 3, "an empty folder")
    expect(suite(folder / "none").returncode, 3, "no folder")
    base = f"from: {CONFIG}/scenarios/timing_screw.yaml\n"
    (folder / "a&<b>.yaml").write_text(base + 'title: "a \\"<&>\\" title"\n', encoding="utf-8")
    (folder / "hot.yaml").write_text(
        base + "title: hot\nexpect: {container: {equilibrium_kpa_max: 200}}\n", encoding="utf-8"
    )
    expect(suite(folder, "--only", "nothing*").returncode, 3, "a pattern that names nothing")
    expect(suite(folder, "--only", "a*").returncode, 2, "no record yet")
    expect(suite(folder, "--accept").returncode, 1, "accepting a failure is no pass")
    before = (folder / "suite.record").read_text(encoding="utf-8")
    expect(suite(folder, "--only", "a*").returncode, 0, "as claimed and as recorded")
    junit = folder / "junit.xml"
    expect(suite(folder, "--junit", str(junit)).returncode, 1, "one fails its claim")
    root = ElementTree.parse(junit).getroot()
    expect((root.get("tests"), root.get("failures")), ("2", "1"), "the counts of JUnit")
    expect([case.get("name") for case in root], ["a&<b>", "hot"], "the names of JUnit")
    failure = root[1][0]
    expect((failure.tag, failure.get("type")), ("failure", "claim"), "what failed")
    expect(failure.get("message").startswith("settled pressure "), True, "in whose words")
    expect("repeat: rimebench run " in failure.text, True, "how to see it again")
    holds_to_schema(junit)
    gone = ("--node", "tcp:127.0.0.1:1", "--only", "a*", "--claims-only", "--junit", str(junit))
    expect(suite(folder, *gone).returncode, 2, "a node that is not there")
    root = ElementTree.parse(junit).getroot()
    expect((root.get("failures"), root.get("errors")), ("0", "1"), "a lost run is an error")
    holds_to_schema(junit)
    found = suite(folder, "--only", "a*", "--node", "stand_in:never_dose", "--json", "-")
    expect(found.returncode, 1, "a controller that never doses")
    scenario = json.loads(found.stdout)["scenarios"][0]
    expect((scenario["as_claimed"], scenario["record"]), (False, "changed"), "its JSON")
    expect((folder / "suite.record").read_text(encoding="utf-8"), before, "the record, unasked")
    (folder / "suite.record").write_text("a: [", encoding="utf-8")
    expect(suite(folder).returncode, 3, "a record that is none")
    (folder / "broken.yaml").write_text("title: [", encoding="utf-8")
    expect(suite(folder, "--accept").returncode, 3, "a scenario that cannot be read")


if __name__ == "__main__":
    place = Path(tempfile.mkdtemp())
    try:
        check(place)
    finally:
        shutil.rmtree(place)
    print("suite: exit codes, record, JSON and JUnit are as described")
