"""Runs the board's program on hardware that a file of records plays: under MicroPython, and on an ordinary Python.

    micropython harness.py FIRMWARE_FOLDER RECORDS KEY=VALUE...

Records of 6 bytes: time [us] as unsigned 32 bits, little end first; kind; value. Kinds: 0 both levels (a + 2 b), with
the interrupt of each switch that changed; 1 a round of the main loop; 2 a byte from the host; 3 the button; 4 whether
the host takes lines. Keys: settings of the board (SENSORS=2), `count`, `line`, `us0`, `ms0` to begin with, `locked`.
What the board sends goes to the standard output; last a line `done COUNT DOUBT DROPS` with the times [us] at which
the run output fell.
"""

import sys

FIRMWARE, RECORDS, OPTIONS = sys.argv[1], sys.argv[2], sys.argv[3:]
sys.path.insert(0, FIRMWARE)

import settings  # noqa: E402
from program import Program  # noqa: E402

try:
    import micropython

    lock, unlock = micropython.heap_lock, micropython.heap_unlock
except ImportError:

    def lock():
        pass

    unlock = lock

ROUND = 1 << 30
begin = {"count": 0, "line": 0, "us0": 0, "ms0": 0, "locked": 1, "boot": 7}
for option in OPTIONS:
    key, value = option.split("=")
    if key in begin:
        begin[key] = int(value)
    else:
        setattr(settings, key, int(value))


class Fake:
    board = "T1"

    def __init__(self):
        self.a = 1
        self.b = 1
        self.now = 0
        self.out = sys.stdout.buffer if hasattr(sys.stdout, "buffer") else sys.stdout
        self.heard = b""
        self.pressed = False
        self.taking = True
        self.high = False
        self.drops = []
        self.fell_at = -1

    def on_change(self, handler):
        self.interrupt = handler

    def read_a(self):
        return self.a

    def read_b(self):
        return self.b

    def us(self):
        return self.now

    def ms(self):
        return self.milli

    def ticks_diff(self, later, earlier):
        return ((later - earlier + (ROUND >> 1)) & (ROUND - 1)) - (ROUND >> 1)

    def at(self, us):
        self.true_us = us
        self.now = (us + begin["us0"]) % ROUND
        self.milli = (us // 1000 + begin["ms0"]) % ROUND

    def interrupts_off(self):
        pass

    def interrupts_on(self):
        pass

    def run(self, goal):
        if self.high and not goal.running:
            self.fell_at = self.true_us
        self.high = goal.running

    def run_low(self):
        if self.high:
            self.fell_at = self.true_us
        self.high = False

    def buzz(self, on):
        pass

    def arm_pressed(self):
        return self.pressed

    def can_send(self):
        return self.taking

    def send(self, data):
        self.out.write(data)

    def receive(self):
        heard, self.heard = self.heard, b""
        return heard

    def next_boot(self):
        return begin["boot"]


def play(file):
    fake = Fake()
    fake.at(0)
    program = None
    while True:
        data = file.read(6000)
        if not data:
            break
        for place in range(0, len(data), 6):
            us = data[place] | data[place + 1] << 8 | data[place + 2] << 16 | data[place + 3] << 24
            kind, value = data[place + 4], data[place + 5]
            fake.at(us)
            if program is None:
                if kind == 0:
                    fake.a, fake.b = value & 1, value >> 1
                program = Program(fake, settings, begin["count"], begin["line"])
                continue
            if kind == 0:
                changes = (fake.a ^ (value & 1)) + (fake.b ^ (value >> 1))
                fake.a, fake.b = value & 1, value >> 1
                for _ in range(changes):
                    if begin["locked"]:
                        lock()
                        program.changed()
                        unlock()
                    else:
                        program.changed()
            elif kind == 1:
                program.step()
            elif kind == 2:
                fake.heard += bytes((value,))
            elif kind == 3:
                fake.pressed = bool(value)
            else:
                fake.taking = bool(value)
            if fake.fell_at >= 0:
                fake.drops.append(fake.fell_at)
                fake.fell_at = -1
    edges = program.edges
    drops = ",".join(str(each) for each in fake.drops)
    fake.out.write(f"done {edges.count} {edges.doubt} {drops}\n".encode())


with open(RECORDS, "rb") as records:
    play(records)
