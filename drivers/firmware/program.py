"""The program of the counter board: edges, lines, commands and target brought together; the hardware is handed in."""

from edges import Edges
from frames import Commands, framed
from goal import Goal

_ROUND = 1 << 30
_OPEN_MS = 50
_CLOSED_MS = 20


class Program:
    """`hardware` is a shim: see shim.py for what it must give. Call `step` again and again."""

    def __init__(self, hardware, settings, count=0, line=0):
        self._hardware = hardware
        self._settings = settings
        self._boot = hardware.next_boot()
        self._per = 2 * settings.MAGNETS * settings.SENSORS
        second = hardware.read_b if settings.SENSORS == 2 else None
        self.edges = Edges(hardware.read_a, second, hardware.ticks_diff, settings.DEAD_US, hardware.us(), count)
        self.goal = Goal(self.edges, self._per, settings.WARN_TURNS * self._per)
        self._commands = Commands()
        self._line = line
        self._started = hardware.ms()
        self._sent = None
        self._sent_doubt = 0
        self._sent_at = 0
        self._answers = [self._hello()]
        self._button = False
        self._button_since = self._started
        self._button_ready = False  # seen open for long enough; one that is held down at the start says nothing
        hardware.on_change(self.changed)

    def changed(self, _pin=None):
        """A switch changed: the interrupt."""
        self.edges.look(self._hardware.us())
        if not self.goal.running:
            self._hardware.run_low()

    def step(self):
        """One round of the main loop."""
        hardware, goal = self._hardware, self.goal
        hardware.interrupts_off()
        self.edges.look(hardware.us())
        count, doubt = self.edges.count, self.edges.doubt
        hardware.interrupts_on()
        ms = (hardware.ms() - self._started) % _ROUND
        goal.look(ms)
        self._look_at_button()
        hardware.run(goal)
        hardware.buzz(goal.sounding(ms))
        for words in self._commands.feed(hardware.receive()):
            self._answers.append(self._obey(words))
            hardware.run(goal)
        self._tell(ms, count, doubt)

    def _look_at_button(self):
        """Lets the winder run after the button was open and then closed, each for so long without a break: neither the
        bounce of a button that is let go, nor a spike on its wire, is a press."""
        now = self._hardware.ms()
        if self._hardware.arm_pressed() != self._button:
            self._button = not self._button
            self._button_since = now
        held = (now - self._button_since) % _ROUND
        if self._button and self._button_ready and held >= _CLOSED_MS:
            self._button_ready = False
            self.goal.arm()
        elif not self._button and held >= _OPEN_MS:
            self._button_ready = True

    def _tell(self, ms, count, doubt):
        hardware, settings = self._hardware, self._settings
        while self._answers and hardware.can_send():
            hardware.send(self._answers.pop(0))
        del self._answers[:-8]
        since = (ms - self._sent_at) % _ROUND
        moved = count != self._sent or doubt != self._sent_doubt
        if self._sent is not None and since < (settings.TICK_MS if moved else settings.HEARTBEAT_MS):
            return
        if not hardware.can_send():
            return
        self._line = (self._line + 1) % _ROUND
        self._sent, self._sent_doubt, self._sent_at = count, doubt, ms
        body = f"hall 1 {self._boot} {self._line} {ms} {count} {self._per}"
        hardware.send(framed(f"{body} {doubt}" if doubt else body))

    def _hello(self):
        settings = self._settings
        switches = f"sensors={settings.SENSORS} magnets={settings.MAGNETS}"
        return framed(f"hall hello {settings.FIRMWARE} {switches} boot={self._boot} board={self._hardware.board}")

    def _obey(self, words):
        """The answer to a command."""
        word, numbers = words[0], [_number(each) for each in words[1:]]
        if None in numbers:
            return framed(f"hall no {word[:16]}: whole numbers of edges expected")
        if word == "identify" and not numbers:
            return self._hello()
        if word == "zero" and not numbers:
            self.goal.set_position(0)
        elif word == "set" and len(numbers) == 1:
            self.goal.set_position(numbers[0])
        elif word == "target" and 1 <= len(numbers) <= 2:
            self.goal.set_target(numbers[0], numbers[1] if len(numbers) == 2 else self.goal.warn)
        elif word == "aim" and len(numbers) == 2:
            # the host's own: as far from the count that the lines tell
            self.goal.aim(numbers[0], numbers[1])
        elif word == "free" and not numbers:
            self.goal.set_target(None, self.goal.warn)
        elif word == "stop" and not numbers:
            self.goal.stop()
        elif word != "where" or numbers:
            return framed(f"hall no {word[:16]}: expected identify, zero, set, target, aim, free, stop or where")
        goal = self.goal
        target = "none" if goal.target is None else goal.target
        where = f"boot={self._boot} at={goal.position()} target={target} run={int(goal.running)}"
        return framed(f"hall ok {word} {where}")


def _number(text):
    digits = text[1:] if text[:1] == "-" else text
    if not digits or len(digits) > 9:
        return None
    for sign in digits:
        if not "0" <= sign <= "9":
            return None
    return int(text)
