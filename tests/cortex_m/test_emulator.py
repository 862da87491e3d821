"""The bare-metal images, run in an emulator, are the same controller as the one in process."""

import contextlib
import json
import shlex
import signal
import socket
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

TOOLS = Path(__file__).resolve().parent.parent.parent / "tools"
sys.path[:0] = [str(TOOLS), str(TOOLS / "example_node")]

import instruction_budget
import wire
from arm_images import Missing
from emulator import PATIENCE_S, Images, semihosting, uart

images = None
# Each byte costs on the emulated UART, so only short runs: a steady line, one with stops, a group.
OVER_UART = ("rotary_steady", "stop_restart", "inline_by_head_number", "missing_containers")


def scenario(name):
    return instruction_budget.SCENARIOS / f"{name}.yaml"
# What a machine that stands still for a second can spoil for a paced node, and nothing else may.
TIMED_RULES = {"silence", "kept"}
MOMENT = "from: {}\nfeed_us: 1000000\n"
NO_SESSION, DAMAGED = 4, 1  # reasons of a refusal


@contextlib.contextmanager
def powered(image):
    """An emulated board, and the other end of its UART. Standard error is the emulator's."""
    bench, board = socket.socketpair()
    command = shlex.split(uart(image, "-semihosting-config", "enable=on,target=native"))
    with board, bench, subprocess.Popen(command, stdin=board, stderr=subprocess.PIPE) as emulator:
        bench.settimeout(PATIENCE_S)
        try:
            yield bench, emulator
        finally:
            emulator.terminate()


def payloads(bench):
    """Of every frame that comes."""
    waiting = b""
    while received := bench.recv(4096):
        *frames, waiting = (waiting + received).split(b"\0")
        yield from (wire.payload_of(blocks) for blocks in frames if blocks)


def hung(bench):
    """Says hello to a node that hangs with its first output, which the safety chain brings."""
    bench.sendall(wire.frame(bytes((1, wire.VERSION, 7))))
    said = payloads(bench)
    next(payload for payload in said if payload[0] == 2)
    bench.sendall(inputs(1, wire.change_bytes(0, (1, 0x0006, 1))))
    return said


def inputs(number, changes=b""):
    return wire.frame(bytes((7, number)) + changes)


class Emulated(unittest.TestCase):
    maxDiff = None

    def test_every_scenario_over_semihosting_gives_the_verdict_of_the_run_in_process(self):
        budget = instruction_budget.Budget()
        with tempfile.TemporaryDirectory() as scratch:
            for path, text, said, found in instruction_budget.counted_runs(images, Path(scratch)):
                with self.subTest(path.stem):
                    expected, _ = images.run(path)
                    self.assertEqual(text, expected, said)
                    self.assertGreater(json.loads(text)["signal_changes"], 300)
                    budget.add(path.stem, found)
        measured, rows = list(budget.measured()), instruction_budget.recorded()
        instruction_budget.show(measured, rows)
        self.assertEqual(list(instruction_budget.over_budget(measured, rows)), [])

    def test_the_whole_shift_over_semihosting_gives_the_verdict_of_the_run_in_process(self):
        expected, _ = images.run(scenario(instruction_budget.TOO_LONG))
        text, said = images.run(scenario(instruction_budget.TOO_LONG), semihosting(images.semihosting))
        self.assertEqual(text, expected, said)
        self.assertGreater(json.loads(text)["signal_changes"], 3_000_000)

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

    def test_a_paced_run_over_the_uart_says_how_late_it_was(self):
        with tempfile.TemporaryDirectory() as scratch:
            moment = Path(scratch) / "moment.yaml"
            moment.write_text(MOMENT.format(scenario("rotary_steady")))
            text, said = images.run(moment, uart(images.paced), "--paced")
        verdict = json.loads(text)
        self.assertNotIn("it said goodbye", verdict["reason"])
        self.assertGreater(verdict["paced"]["inputs"], 0, said)
        self.assertGreater(verdict["paced"]["outputs"], 0, said)
        self.assertIn("node, outputs at its pins", said)
        print(said)

    def test_the_paced_image_keeps_the_rules_of_a_paced_node(self):
        command = [images.rimebench, "node-check", "--paced", "--node", "exec:" + uart(images.paced)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S)
        broken = {line.split()[1] for line in done.stdout.splitlines() if "FAIL  " in line}
        self.assertLessEqual(broken, TIMED_RULES, done.stdout)
        self.assertIn(" 0 not looked at", done.stdout)

    def test_no_byte_is_lost_however_fast_they_come(self):
        # Far more than the board has room for; what ends the frame is the last of them.
        for image in (images.uart, images.paced):
            with self.subTest(image), powered(image) as (bench, _):
                bench.sendall(b"\0" + b"\x55" * 100_000 + b"\0")
                self.assertEqual(next(payloads(bench)), bytes((6, 0, DAMAGED)))

    def test_a_node_that_hangs_is_interrupted_by_the_watchdog_which_closes_the_valve(self):
        with powered(images.hangs[0]) as (bench, emulator):
            next(payload for payload in hung(bench) if payload[0] == 5)  # goodbye
            emulator.terminate()
            said = emulator.stderr.read().decode()
        self.assertIn("internal check failed at watchdog:0, valve pin closed", said)

    def test_a_node_that_hangs_with_interrupts_masked_is_reset(self):
        with powered(images.hangs[1]) as (bench, _):
            said = hung(bench)
            bench.settimeout(0.1)
            while True:  # what is sent before the reset is lost with it
                bench.sendall(inputs(2))
                with contextlib.suppress(TimeoutError):
                    refused = next(payload for payload in said if payload[0] == 6)
                    break
                said = payloads(bench)
        self.assertEqual(refused[-1], NO_SESSION)

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
