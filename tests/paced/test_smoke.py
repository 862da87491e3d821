#!/usr/bin/env python3
"""The one paced run in real time: it ends, and what it says is pass or inconclusive.

How late a busy machine makes it is nothing that a test may depend on, so the scenario's limits are
wide enough for any landing.
"""

import ctypes
import json
import os
import resource
import subprocess
import tempfile
import unittest
from pathlib import Path

# Of sys/resource.h, linux/prctl.h and linux/capability.h.
RLIMIT_RTPRIO, PR_CAPBSET_DROP, CAP_IPC_LOCK, CAP_SYS_NICE = 14, 24, 14, 23
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


def allow_nothing():
    resource.setrlimit(resource.RLIMIT_MEMLOCK, (0, 0))
    resource.setrlimit(RLIMIT_RTPRIO, (0, 0))
    if os.geteuid() == 0:  # root is allowed what its limits deny
        drop = ctypes.CDLL(None).prctl
        drop(PR_CAPBSET_DROP, CAP_IPC_LOCK, 0, 0, 0)
        drop(PR_CAPBSET_DROP, CAP_SYS_NICE, 0, 0, 0)


class Smoke(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)
        self.scenario = self.folder / "moment.yaml"
        self.scenario.write_text(SCENARIO.format(config=REPOSITORY / "config"))

    def run_against(self, *node_words, run_words=(), **popen):
        command = [BENCH, "node", "--listen", "127.0.0.1:0", "--once", *node_words]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as node:
            try:
                address = node.stdout.readline().removeprefix("listening on ").strip()
                words = [BENCH, "run", self.scenario, "--node", f"tcp:{address}", *run_words]
                return subprocess.run(
                    words, capture_output=True, text=True, timeout=120, check=False, **popen
                )
            finally:
                node.terminate()

    def test_a_paced_run_ends_and_passes_or_is_inconclusive(self):
        words = ("--paced", "--lock-memory", "--realtime")
        result = self.run_against("--paced", run_words=words)
        self.assertIn(result.returncode, (0, 2), result.stdout + result.stderr)
        self.assertIn("no determinism claim", result.stdout)
        self.assertIn("node, outputs at its pins", result.stdout)
        self.assertIn("--paced --late-us-max 5000 --lock-memory --realtime", result.stdout)

    def test_where_the_system_allows_nothing_the_run_goes_on_and_says_so(self):
        result = self.run_against(
            "--paced", run_words=("--paced", "--realtime", "--json", "-"), preexec_fn=allow_nothing
        )
        self.assertIn("--realtime: the system gives no real-time priority", result.stderr)
        self.assertIn("the run goes on without", result.stderr)
        # People still read how late it was, though a program reads the verdict.
        self.assertIn("no determinism claim", result.stderr)
        self.assertEqual(json.loads(result.stdout)["paced"]["realtime"], -1)
        self.assertIn(result.returncode, (0, 2), result.stdout)

    def test_the_trace_of_a_paced_run_is_judged_to_the_json_of_the_run(self):
        trace, verdict = self.folder / "run.trace", self.folder / "run.json"
        words = ("--paced", "--trace", trace, "--json", verdict)
        result = self.run_against("--paced", run_words=words)
        self.assertIn("no determinism claim", result.stdout)
        if trace.exists():  # unless the link was lost on a machine that stood still for a second
            judged = subprocess.run([BENCH, "judge", trace], capture_output=True, check=False)
            self.assertEqual(judged.stdout, verdict.read_bytes())

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
