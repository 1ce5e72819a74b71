"""What differs from board to board: pins, switches, magnets. The one file to edit before it is copied to the board."""

FIRMWARE = "turnproof-1"

# 1: counts every turn upwards. 2: knows which way it goes; they sit apart by half of the way that a magnet holds a
# switch closed, a quarter of the step between magnets where that is half of the step.
SENSORS = 2
MAGNETS = 2  # on the spindle, evenly spaced, 1 to 4; for switches that latch, pairs of opposite poles

# Numbers of the pins, as printed on the board; None where nothing is connected.
PIN_A = 2
PIN_B = 3  # swap PIN_A and PIN_B where winding on counts down
PIN_BUZZER = 15
PIN_RUN = 14  # high lets the winder run, through a relay that drops when the board loses power; no emergency stop
PIN_ARM = 13  # push button to ground: only this lets the winder run again

# A switch that has changed is not believed to change again for so long [us]: a fifth to a half of the shortest
# time that it is closed or open (common practice, no source). 4 magnets at 3000 rpm leave 2500 us; reeds chatter for
# about 1000 us and need 1500 or more here, at lower speeds.
DEAD_US = 400

TICK_MS = 10  # between lines while the spindle turns
HEARTBEAT_MS = 500  # between lines while it stands
WARN_TURNS = 10  # the buzzer warns so many turns before the target
