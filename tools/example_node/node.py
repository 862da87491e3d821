#!/usr/bin/env python3
"""The fixed-delay controller as a node: python3 node.py --listen 127.0.0.1:0 [--once]"""

import argparse
import socket
import sys

import wire
from fixed_delay import NEVER, FixedDelay

CAPACITY = 681
INSTANT_MAX = 9 + 6 * (1 + 2 + 5)  # bytes that the outputs of one instant may take in an answer
DAMAGED, MESSAGE, VERSION, NO_SESSION, SEQUENCE, TIME, TOO_MANY, ORDER, CHANNEL = range(1, 10)


class Refuse(Exception):
    def __init__(self, reason, seq=0):
        super().__init__(reason)
        self.reason, self.seq = reason, seq


class Session:
    """Frames in, frames out. `controller` is None while no bench has said hello."""

    def __init__(self):
        self.controller = None
        self.reached = 0
        self.seq = 1
        self.ended = False

    def answer(self, blocks):
        """The frame to send back, if any, to what stood before a 00."""
        try:
            payload = wire.payload_of(blocks)
            if payload is None:
                raise Refuse(DAMAGED)
            reply = self.on_message(payload[0], wire.Fields(payload[1:]))
        except wire.Malformed:
            reply = wire.refused(0, MESSAGE)
        except Refuse as refusal:
            reply = wire.refused(refusal.seq, refusal.reason)
        return wire.frame(reply) if reply else b""

    def on_message(self, kind, fields):
        if kind == wire.HELLO:
            return self.on_hello(fields)
        if kind == wire.GRANT:
            return self.on_grant(fields)
        if kind != wire.GOODBYE:
            raise wire.Malformed
        fields.end()
        self.controller = None
        self.ended = True
        return None

    def on_hello(self, fields):
        if fields.integer(wire.U32) != wire.VERSION:
            raise Refuse(VERSION)
        nonce = fields.integer(wire.U32)
        fields.end()
        self.controller, self.reached, self.seq = FixedDelay(), 0, 1
        return wire.hello_reply(nonce, CAPACITY, b"fixed delay, in Python")

    def on_grant(self, fields):
        seq, until = fields.integer(wire.U16), fields.integer(wire.TIME_MAX)
        feedback = fields.integer(wire.TIME_MAX), fields.integer(wire.U16)
        changes = fields.changes()
        reason = self.objection(seq, until, changes)
        if reason:
            raise Refuse(reason, seq)
        outputs = self.run(until, feedback, changes)
        self.seq = self.seq + 1 & 0xFFFF
        return wire.reached(seq, self.reached, outputs)

    def objection(self, seq, until, changes):
        if self.controller is None:
            return NO_SESSION
        if seq != self.seq:
            return SEQUENCE
        if until <= self.reached:
            return TIME
        if len(changes) > CAPACITY:
            return TOO_MANY
        if any(channel >= 0x2000 for _, channel, _ in changes):
            return CHANNEL
        places = [(at, channel) for at, channel, _ in changes]
        in_order = all(a < b for a, b in zip(places, places[1:]))
        inside = not places or (places[0][0] >= self.reached and places[-1][0] < until)
        return None if in_order and inside else ORDER

    def run(self, until, feedback, changes):
        lookahead, watched = feedback
        outputs, size, taken = [], len(wire.reached(self.seq, until, [])), 0
        while True:
            input_at = changes[taken][0] if taken < len(changes) else NEVER
            now = min(input_at, self.controller.due())
            if now >= until:
                self.reached = until
                return outputs
            while taken < len(changes) and changes[taken][0] == now:
                self.controller.take(*changes[taken][1:])
                taken += 1
            for channel, value in self.controller.settle(now):
                change = (now, channel, value)
                size += len(wire.change_bytes(outputs[-1][0] if outputs else 0, change))
                outputs.append(change)
                if lookahead and watched >> min(channel - 0x2001, 15) & 1:
                    until = min(until, now + lookahead)
            if size + INSTANT_MAX > wire.PAYLOAD_MAX:
                self.reached = now + 1
                return outputs


def serve_one(connection):
    """Until the bench has said goodbye or is gone."""
    session, waiting = Session(), b""
    while not session.ended:
        received = connection.recv(65536)
        if not received:
            return
        *frames, waiting = (waiting + received).split(b"\0")
        waiting = waiting[: wire.STUFFED_MAX + 1]  # one byte too many is enough to know
        for blocks in frames:
            reply = session.answer(blocks) if blocks and not session.ended else b""
            if reply:
                connection.sendall(reply)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--listen", required=True, metavar="HOST:PORT", help="port 0: a free one")
    parser.add_argument("--once", action="store_true", help="end after the first bench has left")
    options = parser.parse_args()
    host, _, port = options.listen.rpartition(":")
    if not host or not port.isdigit():
        parser.error(f"--listen {options.listen}: expected HOST:PORT")
    with socket.create_server((host, int(port))) as server:
        print("listening on {}:{}".format(*server.getsockname()[:2]), flush=True)
        while True:
            connection, _ = server.accept()
            # A frame must not wait for the next one.
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            with connection:
                try:
                    serve_one(connection)
                except ConnectionError:
                    pass  # a bench that is gone ends its session
            if options.once:
                return 0


if __name__ == "__main__":
    sys.exit(main())
