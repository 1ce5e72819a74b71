"""What the board runs when it starts."""

import time

import settings
from program import Program
from shim import Shim

hardware = Shim(settings)
try:
    program = Program(hardware, settings)
    while True:
        program.step()
        time.sleep_ms(1)
finally:
    hardware.run_low()
