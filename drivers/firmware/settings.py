"""What differs from board to board: pins, switches, magnets. The one file to edit before it is copied to the board."""

FIRMWARE = "turnproof-1"

SENSORS = 2  # 1: counts every turn upwards; 2, a quarter of a magnet's step apart: knows which way it goes
MAGNETS = 2  # on the spindle, evenly spaced, 1 to 4

# Numbers of the pins, as printed on the board; None where nothing is connected.
PIN_A = 2
PIN_B = 3  # swap PIN_A and PIN_B where winding on counts down
PIN_BUZZER = 15
PIN_RUN = 14  # high lets the winder run, through a relay that drops when the board loses power; no emergency stop
PIN_ARM = 13  # push button to ground: only this lets the winder run again

# A switch that has changed is not believed to change again for so long [us]: a fifth to a half of the shortest
# time that it is closed or open (common practice, no source). 400 us are good for 4 magnets at 3000 rpm.
DEAD_US = 400

TICK_MS = 10  # between lines while the spindle turns
HEARTBEAT_MS = 500  # between lines while it stands
WARN_TURNS = 10  # the buzzer warns so many turns before the target
