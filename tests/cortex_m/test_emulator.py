"""The bare-metal images, run in an emulator, are the same controller as the one in process."""

import json
import shlex
import signal
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent / "tools"))

import instruction_budget
from arm_images import Missing
from emulator import Images, semihosting, uart

images = None
# Each byte costs on the emulated UART, so only short runs: a steady line, one with stops, a group.
OVER_UART = ("rotary_steady", "stop_restart", "inline_by_head_number", "missing_containers")


def scenario(name):
    return instruction_budget.SCENARIOS / f"{name}.yaml"


class Emulated(unittest.TestCase):
    maxDiff = None

    def test_every_scenario_over_semihosting_gives_the_verdict_of_the_run_in_process(self):
        budget = instruction_budget.Budget()
        with tempfile.TemporaryDirectory() as scratch:
            for path in instruction_budget.scenarios(Path(scratch)):
                with self.subTest(path.stem):
                    expected, _ = images.run(path)
                    text, said, found = images.run_counted(path, Path(scratch) / "counts")
                    self.assertEqual(text, expected, said)
                    self.assertGreater(json.loads(text)["signal_changes"], 300)
                    budget.add(path.stem, found)
        measured, rows = list(budget.measured()), instruction_budget.recorded()
        instruction_budget.show(measured, rows)
        self.assertEqual(list(instruction_budget.over_budget(measured, rows)), [])

    def test_a_shorter_set_over_the_emulated_uart_gives_the_same_verdicts(self):
        for name in OVER_UART:
            with self.subTest(name):
                expected, _ = images.run(scenario(name))
                text, said = images.run(scenario(name), uart(images.uart))
                self.assertEqual(text, expected, said)

    def test_a_failed_check_closes_the_valve_and_makes_the_run_inconclusive(self):
        text, said = images.run(scenario("rotary_steady"), semihosting(images.panics))
        self.assertEqual(json.loads(text)["verdict"], "inconclusive")
        self.assertIn("internal check failed at node.cpp:", said)
        self.assertIn("valve pin closed", said)

    def test_no_emulator_outlives_a_bench_that_is_killed(self):
        # The shell says that it is there, then becomes the emulator. Standard error is shared, so
        # its end is the end of both.
        command = "sh -c " + shlex.quote("echo started >&2; exec " + uart(images.uart))
        words = [images.rimebench, "run", scenario("speed_log"), "--node", "exec:" + command]
        with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as bench:
            self.assertEqual(bench.stderr.readline(), b"started\n")
            bench.send_signal(signal.SIGKILL)
            bench.communicate(timeout=60)


if __name__ == "__main__":
    try:
        images = Images()
    except Missing as missing:
        print(f"skipped: {missing}")
        sys.exit(77)
    unittest.main()
