"""Frames and messages of the link: bytes to fields and back. The page is PROTOCOL.md."""

PAYLOAD_MAX = 2048
STUFFED_MAX = 2059
TIME_MAX = 2**45 - 1
U16, U32 = 2**16 - 1, 2**32 - 1

VERSION = 2
HELLO, HELLO_REPLY, GRANT, REACHED, GOODBYE, REFUSED = range(1, 7)


class Malformed(Exception):
    """An intact frame that is not one whole message."""


def crc16(data):
    crc = 0xFFFF
    for byte in data:
        crc ^= byte << 8
        for _ in range(8):
            crc = ((crc << 1) ^ (0x1021 if crc & 0x8000 else 0)) & 0xFFFF
    return crc


def stuffed(data):
    """The same bytes without a single 00."""
    blocks = bytearray()
    rest = data + b"\0"
    while rest:
        zero = rest.index(0)
        if zero >= 254:
            blocks += b"\xff" + rest[:254]
            rest = rest[254:]
        else:
            blocks += bytes([zero + 1]) + rest[:zero]
            rest = rest[zero + 1 :]
    return bytes(blocks)


def unstuffed(blocks):
    """What the blocks stand for; None if the last one is not whole or a 00 stands in one."""
    data = bytearray()
    at = 0
    while at < len(blocks):
        code = blocks[at]
        block = blocks[at + 1 : at + code]
        if code == 0 or len(block) != code - 1 or 0 in block:
            return None
        at += code
        data += block
        if code < 255 and at < len(blocks):
            data.append(0)
    return bytes(data)


def frame(payload):
    return stuffed(payload + crc16(payload).to_bytes(2, "little")) + b"\0"


def payload_of(blocks):
    """The payload of what stood before a 00; None if it is damaged."""
    data = unstuffed(blocks) if len(blocks) <= STUFFED_MAX else None
    if data is None or len(data) < 3:
        return None
    payload, crc = data[:-2], int.from_bytes(data[-2:], "little")
    return payload if len(payload) <= PAYLOAD_MAX and crc16(payload) == crc else None


def varint(value):
    data = bytearray()
    while value >= 0x80:
        data.append(value & 0x7F | 0x80)
        value >>= 7
    data.append(value)
    return bytes(data)


def folded(value):
    return value * 2 if value >= 0 else -value * 2 - 1


def unfolded(bits):
    return -(bits // 2) - 1 if bits & 1 else bits // 2


class Fields:
    """Reads a payload from front to back."""

    def __init__(self, payload):
        self.rest = payload

    def integer(self, most):
        value = 0
        for count, byte in enumerate(self.rest[:9]):
            value |= (byte & 0x7F) << 7 * count
            if byte < 0x80:
                if (byte == 0 and count > 0) or value > most:
                    break
                self.rest = self.rest[count + 1 :]
                return value
        raise Malformed

    def changes(self):
        """The list of (at, channel, value) that fills the rest."""
        found, at = [], 0
        while self.rest:
            at += self.integer(TIME_MAX)
            channel, value = self.integer(U16), unfolded(self.integer(U32))
            if at > TIME_MAX:
                raise Malformed
            found.append((at, channel, value))
        return found

    def end(self):
        if self.rest:
            raise Malformed


def change_bytes(previous_at, change):
    at, channel, value = change
    return varint(at - previous_at) + varint(channel) + varint(folded(value))


def hello_reply(nonce, capacity, name):
    return bytes([HELLO_REPLY]) + varint(VERSION) + varint(nonce) + varint(capacity) + name


def reached(seq, at, changes):
    payload, previous = bytes([REACHED]) + varint(seq) + varint(at), 0
    for change in changes:
        payload += change_bytes(previous, change)
        previous = change[0]
    return payload


def refused(seq, reason):
    return bytes([REFUSED]) + varint(seq) + varint(reason)
