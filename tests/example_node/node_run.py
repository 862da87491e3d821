"""Starts a node, runs scenarios against it, gives what the bench says."""

import contextlib
import json
import os
import subprocess
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent.parent
BENCH = os.environ["RIMEBENCH_COMMAND"]
LONGEST_S = 300  # for one run on a busy machine; only a hang takes that long


@contextlib.contextmanager
def serving(node_command):
    """Its address, as the bench's --node takes it."""
    with subprocess.Popen(node_command, stdout=subprocess.PIPE, text=True) as node:
        try:
            yield "tcp:" + node.stdout.readline().removeprefix("listening on ").strip()
        finally:
            node.terminate()


def run(scenario, node_command, *options):
    """The verdict, as its JSON, of a scenario of config/scenarios."""
    with serving(node_command) as address:
        return verdict(scenario, address, *options)


def node_check(node_command):
    """What `rimebench node-check` says of a node: its code and its text."""
    with serving(node_command) as address:
        result = subprocess.run(
            [BENCH, "node-check", "--node", address],
            capture_output=True, text=True, timeout=LONGEST_S, check=False,
        )  # fmt: skip
    return result.returncode, result.stdout + result.stderr


def verdict(scenario, node, *options):
    file = f"config/scenarios/{scenario}.yaml"
    command = [BENCH, "run", file, "--json", "-", "--node", node, *options]
    result = subprocess.run(
        command, cwd=REPOSITORY, capture_output=True, text=True, timeout=LONGEST_S, check=False
    )
    if result.returncode not in (0, 1, 2):
        raise AssertionError(f"{command} ended with {result.returncode}: {result.stderr}")
    return json.loads(result.stdout)
