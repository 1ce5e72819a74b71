"""What the board does by itself about a target: it warns by the buzzer, and lets the winder stop.

The run output is fail-safe: at rest it is low, and it is high only while somebody let the winder run by the button
on the board. It drops where the target is met going forward, at a word from the host, where the count is in doubt,
and with the power; then only the button brings it back. It is no emergency stop: a program drives it.
"""

_NONE, _NEAR, _REACHED, _PAST = 0, 1, 2, 3

# Buzzer: on and off times [ms] in turn, beginning with on; told apart by ear.
_SOUNDS = {
    _NONE: (),
    _NEAR: (60, 80, 60, 0),
    _REACHED: (900, 0),
    _PAST: (150, 100, 150, 100, 150, 0),
}

_HALF = 1 << 29
_ROUND = 1 << 30


class Goal:
    """target: position [edges] to wind to, None for none;  warn: edges before it;  position = count - zero.

    running: whether the run output is high. It drops where the count meets the target going forward; somebody who lets
    the winder run again past the target is not stopped a second time.
    """

    def __init__(self, edges, per, warn):
        self._edges = edges
        self._per = per
        self._zero = 0
        self.target = None
        self.warn = warn
        self.running = False
        self._stage = _NONE
        self._sound = ()
        self._sound_at = 0
        self._doubt = edges.doubt
        edges.stop = self.stop

    def position(self):
        return _wrapped(self._edges.count - self._zero)

    def set_position(self, position):
        """From here on the spindle stands at `position`. The count itself, which the lines tell, stays as it is."""
        self._zero = _wrapped(self._edges.count - position)
        self._aim()

    def aim(self, target, warn):
        """As far from the count that the lines tell."""
        self._zero = 0
        self.set_target(target, warn)

    def set_target(self, target, warn):
        self.target = target
        self.warn = warn
        self._aim()

    def arm(self):
        """Somebody pressed the button: the winder may run."""
        self.running = True

    def stop(self):
        """The winder may not run; called from interrupts too."""
        self.running = False

    def look(self, ms):
        """Called by the main loop; ms: any clock of milliseconds that wraps at 2^30."""
        if self._edges.doubt != self._doubt:
            self._doubt = self._edges.doubt
            self.running = False
        stage = self._stage_now()
        if stage != self._stage:
            if stage > self._stage:
                self._sound = _SOUNDS[stage]
                self._sound_at = ms
            self._stage = stage

    def sounding(self, ms):
        """Whether the buzzer is on."""
        since = (ms - self._sound_at) % _ROUND
        on = True
        for part in self._sound:
            if since < part:
                return on
            since -= part
            on = not on
        self._sound = ()
        return False

    def _stage_now(self):
        if self.target is None:
            return _NONE
        left = self.target - self.position()
        if left <= -self._per:
            return _PAST
        if left <= 0:
            return _REACHED
        return _NEAR if left <= self.warn else _NONE

    def _aim(self):
        self._stage = self._stage_now()
        self._sound = ()
        if self.target is None:
            self._edges.stop_at = None
        else:
            self._edges.stop_at = _wrapped(self._zero + self.target)
            if self.position() >= self.target:
                # it was told too late, or the count went there just now
                self.running = False


def _wrapped(edges):
    return (edges + _HALF) % _ROUND - _HALF
