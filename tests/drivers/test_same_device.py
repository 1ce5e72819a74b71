"""Where a device that was unplugged is looked for."""

from __future__ import annotations

import pytest

from drivers.ports import PortInfo
from drivers.same_device import SameDevice


def port(device: str, numbers: str | None = "1209:0001", serial: str | None = "A1") -> PortInfo:
    return PortInfo(device, None, "serial port", numbers, serial, True, None, None)


def found(now: list[PortInfo], before: list[PortInfo], wanted: str = "/dev/ttyX0") -> list[str]:
    lists = iter([before, now])
    return SameDevice(wanted, lambda: next(lists))()


OTHER = port("/dev/ttyX5", "1209:0002", "B7")


def test_the_same_serial_number_is_the_same_device():
    assert found([port("/dev/ttyX3"), OTHER], [port("/dev/ttyX0"), OTHER]) == ["/dev/ttyX3"]


def test_another_serial_number_is_another_device():
    assert found([port("/dev/ttyX3", serial="A2")], [port("/dev/ttyX0")]) == []


def test_without_a_serial_number_a_new_port_of_its_kind_is_taken():
    twin = port("/dev/ttyX1", serial=None)
    before = [port("/dev/ttyX0", serial=None), twin]
    assert found([twin, port("/dev/ttyX2", serial=None)], before) == ["/dev/ttyX2"]


def test_of_two_new_ports_without_a_serial_number_none_is_taken():
    now = [port("/dev/ttyX2", serial=None), port("/dev/ttyX3", serial=None)]
    assert found(now, [port("/dev/ttyX0", serial=None)]) == []


@pytest.mark.parametrize("wanted", ["socket://192.0.2.7:5025", "/dev/pts/3"])
def test_what_is_no_usb_device_is_not_looked_for(wanted):
    assert found([port("/dev/ttyX3")], [port("/dev/ttyX0")], wanted) == []


def test_two_with_the_same_factory_number_are_not_taken_for_each_other():
    twin = port("/dev/ttyX1")
    assert found([twin], [port("/dev/ttyX0"), twin]) == []
    assert found([twin, port("/dev/ttyX4")], [port("/dev/ttyX0"), twin]) == ["/dev/ttyX4"]
