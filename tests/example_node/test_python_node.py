#!/usr/bin/env python3
"""The controller in another language: the bench takes it as it takes ours."""

import re
import sys
import unittest

from node_run import REPOSITORY, node_check, run

EXAMPLE = REPOSITORY / "tools/example_node"
sys.path.insert(0, str(EXAMPLE))

import fixed_delay as fd  # noqa: E402
import node  # noqa: E402
import wire  # noqa: E402

PYTHON_NODE = [sys.executable, str(EXAMPLE / "node.py"), "--listen", "127.0.0.1:0"]
PAGE = (REPOSITORY / "firmware_sim/wire/PROTOCOL.md").read_text()


def page_frames():
    """(direction, bytes) of every frame printed on the protocol's page."""
    blocks = re.findall(r"^```hex\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
    lines = "".join(blocks).splitlines()
    return [(line[0], bytes.fromhex(line[2:])) for line in lines]


def refusal(session, payload):
    """The reason with which the session refuses a payload."""
    reply = wire.payload_of(session.answer(wire.frame(payload)[:-1])[:-1])
    return reply[-1] if reply[0] == wire.REFUSED else None


def hello():
    return bytes([wire.HELLO, wire.VERSION, 7])


def grant(seq, until, changes=()):
    payload, previous = bytes([wire.GRANT]) + wire.varint(seq) + wire.varint(until) + b"\0\0", 0
    for change in changes:
        payload += wire.change_bytes(previous, change)
        previous = change[0]
    return payload


def started(slots):
    """A controller in Execute at 50 ms with these slots set."""
    controller = fd.FixedDelay()
    slots = [slots.get(n, least) for n, (least, _) in enumerate(fd.SLOT_RANGES)]
    staged = [(fd.RECIPE_FIRST + n, value) for n, value in enumerate(slots)]
    crc = fd.zlib.crc32(b"".join(v.to_bytes(4, "little", signed=True) for v in slots))
    script = [
        [(fd.RUN_PERMIT, 1), (fd.SAFETY_CHAIN, 1), (fd.SUPPLY_READY, 1), (fd.LINK_ALIVE, 1)],
        [*staged, (fd.RECIPE_COMMIT, crc - 2**32 if crc >= 2**31 else crc)],
        [(fd.RESET, 1)],
        [(fd.START, 1)],
    ]
    outputs = []
    for step, changes in enumerate(script):
        for change in changes:
            controller.take(*change)
        outputs += controller.settle(10_000 * (step + 1))
    assert (fd.MODE, fd.EXECUTE) in outputs, outputs
    return controller


# 400 mm at 400 mm/s, a shot of 20 ms, no other delay: the valve opens 990 ms after the edge.
RECIPE = {1: 400_000, 3: 400_000, 16: 100_000, 19: 100, 20: 200, 27: 20_000, 28: 40_000, 35: 100}


class Protocol(unittest.TestCase):
    def test_the_page_s_frames_are_its_payloads_and_back(self):
        frames = page_frames()
        self.assertGreaterEqual(len(frames), 17)
        for _, frame in frames:
            payload = wire.payload_of(frame[:-1])
            self.assertIsNotNone(payload, frame.hex(" "))
            self.assertEqual(wire.frame(payload), frame)

    def test_crc_and_stuffing_are_those_printed(self):
        self.assertEqual(wire.crc16(b"123456789"), 0x29B1)
        for plain, blocks in (("11220033", "0311220233"), ("0000", "010101")):
            self.assertEqual(wire.stuffed(bytes.fromhex(plain)).hex(), blocks)
        for size in (253, 254, 255, 508, 1026):
            data = bytes([7]) * size
            self.assertEqual(wire.unstuffed(wire.stuffed(data)), data)
            self.assertEqual(wire.unstuffed(wire.stuffed(data + b"\0")), data + b"\0")

    def test_a_session_refuses_with_the_page_s_reasons(self):
        session = node.Session()
        self.assertEqual(refusal(session, grant(1, 1000)), node.NO_SESSION)
        self.assertEqual(refusal(session, bytes([wire.HELLO, wire.VERSION + 1])), node.VERSION)
        self.assertEqual(refusal(session, b"\x42"), node.MESSAGE)
        self.assertIsNone(refusal(session, hello()))
        self.assertEqual(refusal(session, grant(2, 1000)), node.SEQUENCE)
        self.assertEqual(refusal(session, grant(1, 0)), node.TIME)
        self.assertEqual(refusal(session, grant(1, 9, [(9, 1, 1)])), node.ORDER)
        self.assertEqual(refusal(session, grant(1, 9, [(3, 2, 1), (3, 1, 1)])), node.ORDER)
        self.assertEqual(refusal(session, grant(1, 9, [(3, 0x2001, 1)])), node.CHANNEL)
        self.assertEqual(refusal(session, grant(1, 9, [(3, 1, 1)]) + b"\x80"), node.MESSAGE)
        self.assertIsNone(refusal(session, grant(1, 9, [(3, 1, 1)])))
        damaged = bytearray(wire.frame(grant(2, 99))[:-1])
        damaged[-1] ^= 1
        self.assertEqual(wire.payload_of(session.answer(damaged)[:-1])[-1], node.DAMAGED)

    def test_a_recipe_is_refused_by_its_first_slot_that_is_wrong(self):
        self.assertEqual(fd.first_refused([0] * len(fd.SLOT_RANGES)), 1)
        slots = [least for least, _ in fd.SLOT_RANGES]
        self.assertIsNone(fd.first_refused(slots))
        slots[27:29] = 5, 4
        self.assertEqual(fd.first_refused(slots), 28)


class Controller(unittest.TestCase):
    def test_a_shot_opens_one_fixed_delay_after_the_edge(self):
        controller = started(RECIPE)
        controller.take(fd.CONTAINER_SENSOR, 1)
        self.assertEqual(controller.settle(100_000), [])
        self.assertEqual(controller.due(), 1_090_000)
        self.assertEqual(controller.settle(1_090_000), [(fd.VALVE, 1)])
        self.assertEqual(controller.due(), 1_110_000)
        self.assertEqual(controller.settle(1_110_000), [(fd.VALVE, 0)])
        self.assertEqual(controller.due(), fd.NEVER)

    def test_the_valve_shuts_in_the_microsecond_of_a_lost_permit_or_interlock(self):
        for channel, fault in ((fd.RUN_PERMIT, 0), *fd.INTERLOCKS):
            controller = started(RECIPE)
            controller.take(fd.CONTAINER_SENSOR, 1)
            controller.settle(100_000)
            controller.settle(1_090_000)
            controller.take(channel, 0)
            outputs = dict(controller.settle(1_090_001))
            self.assertEqual(outputs[fd.VALVE], 0)
            self.assertEqual(outputs.get(fd.ALARM, 0), fault)
            self.assertEqual(outputs[fd.MODE], fd.ABORTED if fault else fd.SUSPENDED)


class Bench(unittest.TestCase):
    def test_it_keeps_every_rule_of_the_protocol(self):
        code, said = node_check(PYTHON_NODE)
        self.assertEqual(code, 0, said)

    def test_one_delay_is_enough_behind_a_timing_screw(self):
        verdict = run("timing_screw", PYTHON_NODE)
        self.assertEqual(verdict["verdict"], "pass", verdict["reason"])
        self.assertGreater(verdict["shots"], 450)

    def test_however_the_run_is_cut_the_digest_is_one(self):
        whole = run("timing_screw", PYTHON_NODE)
        cut = run("timing_screw", PYTHON_NODE, "--grant-changes", "random")
        self.assertNotEqual(whole["exchanges"], cut["exchanges"])
        self.assertEqual(whole["digest"], cut["digest"])

    def test_it_is_not_enough_where_the_speed_is_another_or_changes(self):
        for scenario in ("rotary_steady", "speed_ramp"):
            verdict = run(scenario, PYTHON_NODE)
            self.assertEqual(verdict["verdict"], "fail")
            self.assertIn("landing", verdict["causes"])


if __name__ == "__main__":
    unittest.main()
