"""A dose controller of the simplest kind: one fixed dose, one fixed delay after the sensor.

It follows no line pulse and tracks no container to a gate. What it does keep is the contract of
PROTOCOL.md: recipe, modes, the valve shut in the very microsecond a permit is lost, latched faults.
"""

import zlib

NEVER = 2**63

CONTAINER_SENSOR, RUN_PERMIT, SAFETY_CHAIN, SUPPLY_READY, LINK_ALIVE = 0x1, 0x5, 0x6, 0x7, 0x12
START, STOP, RESET = 0x13, 0x14, 0x15
RECIPE_FIRST, RECIPE_COMMIT = 0x1000, 0x1FFF
VALVE, LINE_PERMIT, SUPPLY_ISOLATION, ALARM, MODE, RECIPE_STATE = (
    0x2001, 0x2003, 0x2004, 0x2005, 0x2006, 0x2007,
)  # fmt: skip

STOPPED, IDLE, EXECUTE, SUSPENDED, ABORTED = range(5)
INTERLOCKS = ((SAFETY_CHAIN, 1), (LINK_ALIVE, 2), (SUPPLY_READY, 3))  # with the fault of each

# (entries, least, most) of every parameter, in slot order.
RANGES = (
    (1, 0, 10**6), (1, 1000, 5 * 10**6), (1, 0, 5 * 10**6), (1, 1000, 5 * 10**6),
    (1, 1000, 20 * 10**6), (1, 0, 500_000), (1, 0, 50_000), (1, 0, 200_000), (1, 0, 10**6),
    (1, 1000, 2 * 10**6), (1, 0, 10**6), (1, 0, 50_000), (1, 0, 200_000), (1, 0, 200_000),
    (1, 0, 500_000), (1, 100, 10**6), (1, 100, 2 * 10**6), (1, 0, 10**6), (1, 0, 10**6),
    (8, 0, 10**7), (8, 0, 2 * 10**6), (1, 1, 10**7), (1, 0, 3), (1, 0, 6 * 10**8),
    (8, 0, 6 * 10**8), (8, 0, 20 * 10**6), (1, 0, 6 * 10**8), (1, 0, 2), (1, 1, 16),
    (16, 0, 6 * 10**8), (1, 0, 20 * 10**6), (1, 0, 10**6), (1, 0, 1), (1, 0, 50 * 10**6),
    (1, 0, 50 * 10**6), (1, 0, 6 * 10**7), (1, 0, 10**6), (1, 0, 10**6),
    (1, 0, 5000000), (1, 0, 50000000), (1, 0, 60000000), (1, 0, 60000000), (1, 0, 60000000),
    (1, 0, 60000000), (1, 0, 100), (1, 0, 1000000), (1, 0, 500000), (1, 0, 10000000),
    (1, 0, 60000000), (1, 0, 20000000), (1, 0, 50000000), (1, 0, 20000000), (1, 0, 16), (1, 0, 1),
    (1, 0, 8), (1, 0, 600000000), (1, 0, 60000000), (1, 0, 100), (1, 0, 1), (1, 0, 5000000),
    (1, 0, 5000000), (1, 0, 10000000), (1, 0, 600000000), (1, 0, 100000000), (1, 0, 1000000),
    (1, 0, 1000000),
    (1, 0, 1_800_000_000), (1, 0, 2_000_000), (1, 1000, 600_000_000), (1, 0, 2_000_000_000),
    (1, 0, 400_000), (1, 0, 2_000_000), (1, 0, 600_000_000), (1, 0, 100), (1, 0, 2_000_000),
    (1, 1000, 600_000_000), (1, 0, 1_000_000), (1, 0, 1_800_000_000), (1, 0, 600_000_000),
    (1, 0, 1_000), (8, 0, 1_000_000), (8, 0, 20_000_000), (1, 0, 600_000_000), (1, 0, 1_000_000),
    (1, 0, 1_000_000), (1, 0, 100), (1, 0, 60_000_000), (1, 0, 1_000_000), (1, 0, 50_000),
)  # fmt: skip
SLOT_RANGES = [(least, most) for entries, least, most in RANGES for _ in range(entries)]

LINE_SPEED, SENSOR_TO_NOZZLE, EDGE_TO_CENTRE, SENSOR_LATENCY, PITCH_MIN = 1, 3, 5, 6, 10
OPEN_DELAY, CLOSE_DELAY, FLIGHT, OPEN_MIN, OPEN_MAX = 12, 13, 14, 15, 16
OPEN_CURVE_UG, OPEN_CURVE_US, DOSE, WAIT_FIXED, WAIT_CURVE_US, WAIT_CURVE_PPM = 19, 27, 35, 37, 38, 46
HEAD_CURVE_PA, HEAD_CURVE_PPM = 123, 131


def points(slots, x, y):
    """The points of a curve: as many as x strictly rises."""
    used = 1
    while used < 8 and slots[x + used] > slots[x + used - 1]:
        used += 1
    return list(zip(slots[x : x + used], slots[y : y + used]))


def interpolated(curve, x):
    """The first and the last value hold beyond the ends."""
    if x <= curve[0][0]:
        return curve[0][1]
    for (x0, y0), (x1, y1) in zip(curve, curve[1:]):
        if x <= x1:
            return y0 + (x - x0) * (y1 - y0) // (x1 - x0)
    return curve[-1][1]


def out_of_order(slots, x, y, y_rises):
    """Slots of a curve that hold more than its points, or that do not rise."""
    used = len(points(slots, x, y))
    for entry in range(8):
        falls = y_rises and 0 < entry < used and slots[y + entry] <= slots[y + entry - 1]
        if entry >= used and slots[x + entry] != 0:
            yield x + entry
        if falls or (entry >= used and slots[y + entry] != 0):
            yield y + entry


def first_refused(slots):
    bad = [n for n, (least, most) in enumerate(SLOT_RANGES) if not least <= slots[n] <= most]
    bad += out_of_order(slots, OPEN_CURVE_UG, OPEN_CURVE_US, True)
    bad += out_of_order(slots, WAIT_CURVE_US, WAIT_CURVE_PPM, False)
    bad += out_of_order(slots, HEAD_CURVE_PA, HEAD_CURVE_PPM, False)
    return min(bad, default=None)


class FixedDelay:
    """take() the inputs of one instant, then settle() it; due() is the next one of its own."""

    def __init__(self):
        self.level = {}  # of every input seen
        self.rose = set()  # inputs that rose at this instant
        self.commit = 0
        self.slots = [0] * len(SLOT_RANGES)
        self.recipe_state = 0
        self.delay = self.open_for = self.pitch_time = 0  # of the recipe in use, us
        self.loaded = False
        self.mode, self.fault = STOPPED, 0
        self.last_edge = -NEVER
        self.shots = []  # (open at, close at), in time order
        self.sent = {}

    def take(self, channel, value):
        if channel == RECIPE_COMMIT:
            self.commit = value
        elif RECIPE_FIRST <= channel < RECIPE_FIRST + len(self.slots):
            self.slots[channel - RECIPE_FIRST] = value
        else:
            if value and not self.level.get(channel):
                self.rose.add(channel)
            self.level[channel] = value

    def due(self):
        if not self.shots:
            return NEVER
        opens, closes = self.shots[0]
        return closes if self.sent.get(VALVE) else opens

    def settle(self, now):
        """Everything that happens at this instant; the outputs that change, by channel."""
        if self.commit:
            self.recipe_state = self.load()
            self.commit = 0
        self.run_modes()
        valve = self.run_shots(now)
        self.rose.clear()
        outputs = {
            VALVE: int(valve),
            LINE_PERMIT: int(self.mode != ABORTED),
            SUPPLY_ISOLATION: int(self.in_use()),
            ALARM: self.fault,
            MODE: self.mode,
            RECIPE_STATE: self.recipe_state,
        }
        changed = {c: v for c, v in outputs.items() if self.sent.get(c, 0) != v}
        self.sent.update(changed)
        return sorted(changed.items())

    def in_use(self):
        return self.mode in (IDLE, SUSPENDED, EXECUTE)

    def load(self):
        """The answer to a commit."""
        if self.mode not in (STOPPED, IDLE):
            return -1
        crc = zlib.crc32(b"".join(v.to_bytes(4, "little", signed=True) for v in self.slots)) or 1
        if self.commit & 0xFFFFFFFF != crc:
            return -2
        refused = first_refused(self.slots)
        if refused is not None:
            return -1000 - refused
        self.prepare()
        return 1

    def prepare(self):
        """One dose and one delay, for every container the same."""
        slots = self.slots
        waits = points(slots, WAIT_CURVE_US, WAIT_CURVE_PPM)
        gain = interpolated(waits, slots[WAIT_FIXED]) if waits != [(0, 0)] else 1_000_000
        dose = slots[DOSE] * gain // 1_000_000
        self.open_for = interpolated(points(slots, OPEN_CURVE_UG, OPEN_CURVE_US), dose)
        self.loaded = slots[OPEN_MIN] <= self.open_for <= slots[OPEN_MAX]
        travel = (slots[SENSOR_TO_NOZZLE] + slots[EDGE_TO_CENTRE]) * 1_000_000 // slots[LINE_SPEED]
        # The middle of the streak lands this long after the command to open.
        lead = slots[FLIGHT] + (slots[OPEN_DELAY] + self.open_for + slots[CLOSE_DELAY]) // 2
        self.delay = travel - slots[SENSOR_LATENCY] - lead
        self.pitch_time = slots[PITCH_MIN] * 1_000_000 // slots[LINE_SPEED]
        self.shots.clear()

    def run_modes(self):
        lost = [fault for channel, fault in INTERLOCKS if not self.level.get(channel)]
        if RESET in self.rose and self.recipe_state == 1 and not lost:
            if self.mode in (STOPPED, ABORTED):
                self.mode = IDLE if self.mode == STOPPED else STOPPED
            self.fault = 0
        if START in self.rose and self.mode == IDLE:
            self.mode = SUSPENDED
        if self.mode in (SUSPENDED, EXECUTE):
            self.mode = EXECUTE if self.level.get(RUN_PERMIT) else SUSPENDED
        if STOP in self.rose and self.mode != ABORTED:
            self.mode = STOPPED
        if lost and self.in_use():
            self.mode, self.fault = ABORTED, lost[0]

    def run_shots(self, now):
        """Is the valve open from this instant on?"""
        if self.mode != EXECUTE:
            self.shots.clear()  # a line that stands moves no container: its delay means nothing
            return False
        if CONTAINER_SENSOR in self.rose and self.loaded:
            opens = now + self.delay
            after_last = not self.shots or opens > self.shots[-1][1]
            if now - self.last_edge >= self.pitch_time and opens > now and after_last:
                self.shots.append((opens, opens + self.open_for))
            self.last_edge = now
        while self.shots and self.shots[0][1] <= now:
            self.shots.pop(0)
        return bool(self.shots) and self.shots[0][0] <= now
