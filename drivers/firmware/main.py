"""What the board runs when it starts."""

import time

import settings
from program import Program
from shim import Shim

hardware = Shim(settings)
if hardware.arm_pressed():
    # the button was held down at power-up: leave the board to whoever wants to change its files
    hardware.give_back()
else:
    try:
        program = Program(hardware, settings)
        while True:
            program.step()
            time.sleep_ms(1)
    finally:
        hardware.run_low()
