#!/usr/bin/env python3
"""The one paced run in real time: it ends, and what it says is pass or inconclusive.

How late a busy machine makes it is nothing that a test may depend on, so the scenario's limits are
wide enough for any landing.
"""

import os
import subprocess
import tempfile
import unittest
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent.parent
BENCH = os.environ["RIMEBENCH_COMMAND"]
SCENARIO = """
title: "a moment of the rotary line"
seed: 1
feed_us: 1000000
container: {{from: {config}/containers/can_355.yaml}}
product: {{from: {config}/products/still_water_355.yaml}}
line: {{from: {config}/lines/rotary.yaml}}
speed: [{{at_us: 0, containers_per_min: 1000}}]
recipe: {{from: {config}/recipes/rotary_can_355.yaml}}
expect:
  container:
    equilibrium_kpa_min: -101
    equilibrium_kpa_max: 10000
    hot_prompt_kpa_max: 10000
    landing_offset_um_max: 1000000
  escapes_max: 1000
"""


class Smoke(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.scenario = Path(folder.name) / "moment.yaml"
        self.scenario.write_text(SCENARIO.format(config=REPOSITORY / "config"))

    def run_against(self, *node_words, run_words=()):
        command = [BENCH, "node", "--listen", "127.0.0.1:0", "--once", *node_words]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as node:
            try:
                address = node.stdout.readline().removeprefix("listening on ").strip()
                words = [BENCH, "run", self.scenario, "--node", f"tcp:{address}", *run_words]
                return subprocess.run(
                    words, capture_output=True, text=True, timeout=120, check=False
                )
            finally:
                node.terminate()

    def test_a_paced_run_ends_and_passes_or_is_inconclusive(self):
        words = ("--paced", "--lock-memory", "--realtime")
        result = self.run_against("--paced", run_words=words)
        self.assertIn(result.returncode, (0, 2), result.stdout + result.stderr)
        self.assertIn("no determinism claim", result.stdout)
        self.assertIn("node, outputs at its pins", result.stdout)

    def test_a_lockstep_node_is_found_out(self):
        result = self.run_against(run_words=["--paced"])
        self.assertEqual(result.returncode, 2)
        self.assertIn("is it a paced node?", result.stdout)

    def test_a_paced_node_refuses_a_lockstep_bench(self):
        result = self.run_against("--paced")
        self.assertEqual(result.returncode, 2)
        self.assertIn("it refused", result.stdout)

    def test_options_that_do_not_go_together_are_bad_input(self):
        for words in (["--paced"], ["--paced", "--node", "exec:true", "--grant-changes", "all"]):
            result = subprocess.run(
                [BENCH, "run", self.scenario, *words], capture_output=True, text=True, check=False
            )
            self.assertEqual(result.returncode, 3)
            self.assertIn("--paced", result.stderr)


if __name__ == "__main__":
    unittest.main()
