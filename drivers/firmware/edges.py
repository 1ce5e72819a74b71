"""The count of edges, from one or two switches: called from interrupts, where nothing may be allocated.

Two switches in quadrature give four levels in a row, 00 10 11 01; a step along the row is an edge forward, one
against it an edge back, also where the spindle turns round. Chatter of one switch takes back what it added, so
that it can't add up: the other switch is its hysteresis. One switch counts each change of its level upwards.

After a change that counts a switch is not looked at for a dead time. What it changed meanwhile is found by the
next look, which the main loop takes at least each few milliseconds.

Where both switches changed between two looks, and nothing tells which was first, the way is not known: it is
taken to be the last one, and `doubt` grows by the edges that this may be wrong by.
"""

try:
    from micropython import const
except ImportError:  # on an ordinary Python, for testing

    def const(value):
        return value


# Small integers of a 32-bit board have 31 bits; beyond, a count would need the heap.
_TOP = const(536870911)  # 2^29 - 1
_BOTTOM = const(-536870912)
_BOTH_WAYS = const(4)  # two edges forward or two back: four apart


class Edges:
    """count: signed edges, -2^29 to 2^29 - 1, then round.  doubt: edges that it may be wrong by, either way.

    read_a, read_b: give a switch's level, 0 or 1; read_b is None with one switch.  ticks_diff: of two times [us].
    At `stop_at`, reached going forward, `stop` is called at once; None for no stop.
    """

    def __init__(self, read_a, read_b, ticks_diff, dead_us, now, count=0):
        self._read_a = read_a
        self._read_b = read_b
        self._diff = ticks_diff
        self._dead = dead_us
        self.count = count
        self.doubt = 0
        self.stop_at = None
        self.stop = None
        self._a = read_a()
        self._b = read_b() if read_b is not None else 0
        self._a_at = now
        self._b_at = now
        self._a_quiet = True  # its dead time is over
        self._b_quiet = True
        self._a_late = False  # it changed within its dead time
        self._b_late = False
        self._way = 1

    def look(self, now):
        """The levels may have changed; now [us]. Called by each switch's interrupt, and by the main loop with the
        interrupts held back."""
        if not self._a_quiet and self._diff(now, self._a_at) >= self._dead:
            self._a_quiet = True
        a = self._read_a() != self._a
        if self._read_b is None:
            if a and self._a_quiet:
                self._change_a(now, 1)
            return
        if not self._b_quiet and self._diff(now, self._b_at) >= self._dead:
            self._b_quiet = True
        b = self._read_b() != self._b
        if a and b:
            self._both(now)
        elif a:
            if self._a_quiet:
                self._change_a(now, self._way_of_a())
            else:
                self._a_late = True
        elif b:
            if self._b_quiet:
                self._change_b(now, self._way_of_b())
            else:
                self._b_late = True
        if not a:
            self._a_late = False
        if not b:
            self._b_late = False

    def _both(self, now):
        if self._a_quiet and self._b_quiet:
            if self._a_late and not self._b_late:
                # it changed within its dead time, and so before the other one, which was seen at once
                self._change_a(now, self._way_of_a())
                self._change_b(now, self._way_of_b())
            elif self._b_late and not self._a_late:
                self._change_b(now, self._way_of_b())
                self._change_a(now, self._way_of_a())
            else:
                way = self._way
                self.doubt += _BOTH_WAYS
                self._change_a(now, way)
                self._change_b(now, way)
        elif self._a_quiet:
            # the other one may chatter, or have gone back: a quarter of a step apart they hardly meet
            self.doubt += _BOTH_WAYS
            self._b_late = True
            self._change_a(now, self._way_of_a())
        elif self._b_quiet:
            self.doubt += _BOTH_WAYS
            self._a_late = True
            self._change_b(now, self._way_of_b())
        else:
            self._a_late = True
            self._b_late = True

    def _way_of_a(self):
        return 1 if self._a == self._b else -1

    def _way_of_b(self):
        return 1 if self._a != self._b else -1

    def _change_a(self, now, way):
        self._a ^= 1
        self._a_at = now
        self._a_quiet = False
        self._a_late = False
        self._step(way)

    def _change_b(self, now, way):
        self._b ^= 1
        self._b_at = now
        self._b_quiet = False
        self._b_late = False
        self._step(way)

    def _step(self, way):
        self._way = way
        count = self.count
        if way > 0:  # noqa: SIM108 - read by people who don't write Python
            count = _BOTTOM if count == _TOP else count + 1
        else:
            count = _TOP if count == _BOTTOM else count - 1
        self.count = count
        if count == self.stop_at and way > 0 and self.stop is not None:
            self.stop()
