"""The udev rule that lets who sits at the computer use serial adapters and counter boards on USB."""

from __future__ import annotations

__all__ = ["RULE_NAME", "UDEV_RULE"]

RULE_NAME = "70-turnproof.rules"
"""Before 73-seat-late.rules, where systemd acts on the tag."""

UDEV_RULE = """\
# Turnproof: serial adapters and counter boards on USB.
#
# What this does: whoever is logged in at this computer's own screen and keyboard may open a serial port that hangs on
# USB (/dev/ttyUSB0, /dev/ttyACM0 and so on), for as long as the session is there, and needs to be in no group for it.
# It is said of the kind of port and of no make; nothing is sent to any device; no other port is touched. Over ssh it
# gives nothing: there the group that owns the port is the way (sudo usermod -aG dialout NAME).
#
# Names that stay the same over unplugging are there without this file: /dev/serial/by-id/..., see `turnproof ports`.

ACTION!="remove", SUBSYSTEM=="tty", SUBSYSTEMS=="usb", KERNEL=="ttyUSB[0-9]*", TAG+="uaccess"
ACTION!="remove", SUBSYSTEM=="tty", SUBSYSTEMS=="usb", KERNEL=="ttyACM[0-9]*", TAG+="uaccess"

# ModemManager asks each new port whether it is a modem, and holds it for some seconds. Where no mobile modem hangs on
# this computer, take the # from the next line, and it leaves these ports alone.
#ACTION!="remove", SUBSYSTEM=="tty", SUBSYSTEMS=="usb", KERNEL=="ttyUSB[0-9]*|ttyACM[0-9]*", ENV{ID_MM_PORT_IGNORE}="1"
"""
