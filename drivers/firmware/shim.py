"""The hardware, behind one thin wall: pins, clock, flash and the line. Nothing else on the board knows them."""

import os
import select
import sys
import time

import machine
import micropython

_BOOT_FILE = "boot.txt"
_BOOTS = 1 << 29


class Shim:
    """A board with MicroPython 1.20 or newer. Untested on hardware until somebody has run the check by hand."""

    def __init__(self, settings):
        micropython.kbd_intr(-1)  # a stray byte 3 on the line must not end the program
        micropython.alloc_emergency_exception_buf(100)
        self._run_pin = _output(settings.PIN_RUN)
        self.run_low()
        self._buzzer = _output(settings.PIN_BUZZER)
        self._a = machine.Pin(settings.PIN_A, machine.Pin.IN, machine.Pin.PULL_UP)
        self._b = None
        if settings.SENSORS == 2:
            self._b = machine.Pin(settings.PIN_B, machine.Pin.IN, machine.Pin.PULL_UP)
        self._arm = None
        if settings.PIN_ARM is not None:
            self._arm = machine.Pin(settings.PIN_ARM, machine.Pin.IN, machine.Pin.PULL_UP)
        self.read_a = self._a.value
        self.read_b = None if self._b is None else self._b.value
        self.us = time.ticks_us
        self.ms = time.ticks_ms
        self.ticks_diff = time.ticks_diff
        self.board = "".join(f"{byte:02X}" for byte in machine.unique_id())[-16:]
        self._readable = select.poll()
        self._readable.register(sys.stdin, select.POLLIN)
        self._writable = select.poll()
        self._writable.register(sys.stdout, select.POLLOUT)
        self._state = 0

    def give_back(self):
        """Let Ctrl-C through again, for the tools that copy files."""
        micropython.kbd_intr(3)

    def on_change(self, handler):
        """Call `handler` at each change of a switch; hard where the board can, so that it waits for nothing."""
        both = machine.Pin.IRQ_RISING | machine.Pin.IRQ_FALLING
        for pin in (self._a, self._b):
            if pin is None:
                continue
            try:
                pin.irq(handler=handler, trigger=both, hard=True)
            except (TypeError, ValueError):  # some boards have soft interrupts only
                pin.irq(handler=handler, trigger=both)

    def interrupts_off(self):
        self._state = machine.disable_irq()

    def interrupts_on(self):
        machine.enable_irq(self._state)

    def run(self, goal):
        """Follow the goal; an interrupt that stopped meanwhile goes first."""
        if self._run_pin is None:
            return
        self.interrupts_off()
        self._run_pin.value(1 if goal.running else 0)
        self.interrupts_on()

    def run_low(self):
        if self._run_pin is not None:
            self._run_pin.value(0)

    def buzz(self, on):
        if self._buzzer is not None:
            self._buzzer.value(1 if on else 0)

    def arm_pressed(self):
        return self._arm is not None and self._arm.value() == 0

    def can_send(self):
        """Whether the host takes something now. A host that has the port open and does not read may still hold up the
        loop for the board's own time-out; counting and the stop at the target hang on interrupts and go on."""
        return bool(self._writable.poll(0))

    def send(self, data):
        sys.stdout.buffer.write(data)

    def receive(self):
        data = b""
        while len(data) < 64 and self._readable.poll(0):
            data += sys.stdin.buffer.read(1)
        return data

    def next_boot(self):
        """A number that was not there before, kept in flash; a random one where the flash can't be read or written."""
        try:
            with open(_BOOT_FILE) as file:
                number = int(file.read()) + 1
        except (OSError, ValueError):
            number = _random_boot()
        number = number % (2 * _BOOTS) or 1
        try:
            with open(_BOOT_FILE + ".new", "w") as file:
                file.write(str(number))
            os.rename(_BOOT_FILE + ".new", _BOOT_FILE)
        except OSError:
            return _random_boot()
        return number


def _output(number):
    return None if number is None else machine.Pin(number, machine.Pin.OUT, value=0)


def _random_boot():
    noise = os.urandom(4)
    return _BOOTS + (int.from_bytes(noise, "little") % _BOOTS)
