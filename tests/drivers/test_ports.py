"""What can be said of a port without opening it."""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace

import pytest

from drivers import ports
from drivers.port_access import denied_advice, group_of, holder_of
from drivers.ports import list_ports


@pytest.fixture
def terminal():
    """A pseudo-terminal's name; this process has it open."""
    master, slave = os.openpty()
    yield os.ttyname(slave)
    os.close(master)
    os.close(slave)


def listed(monkeypatch: pytest.MonkeyPatch, device: str, **known: object) -> ports.PortInfo:
    usual = {"description": "n/a", "vid": None, "pid": None, "serial_number": None}
    port = SimpleNamespace(device=device, **usual | known)
    monkeypatch.setattr(ports._list_ports, "comports", lambda: [port])
    (found,) = list_ports()
    return found


def test_a_usb_port_tells_its_numbers_and_its_stable_name(monkeypatch, terminal, tmp_path: Path):
    (tmp_path / "usb-maker-port0").symlink_to(terminal)
    monkeypatch.setattr(ports, "_BY_ID", tmp_path)
    found = listed(monkeypatch, terminal, description="USB Serial", vid=0x1A86, pid=0x7523, serial_number="A1")
    assert found.stable_name == str(tmp_path / "usb-maker-port0")
    assert (found.description, found.vendor_product, found.serial_number) == ("USB Serial", "1a86:7523", "A1")


def test_a_bare_port_says_what_little_is_known(monkeypatch, terminal, tmp_path: Path):
    monkeypatch.setattr(ports, "_BY_ID", tmp_path / "none")
    found = listed(monkeypatch, terminal)
    assert (found.description, found.vendor_product, found.stable_name) == ("serial port", None, None)


def test_permission_and_group_are_told(monkeypatch, terminal):
    monkeypatch.setattr(os, "access", lambda *_: False)
    found = listed(monkeypatch, terminal)
    assert not found.permitted
    assert found.group == group_of(terminal)


def test_who_holds_a_port_is_told(monkeypatch, terminal):
    found = listed(monkeypatch, terminal)
    assert found.holder is not None
    assert found.holder.pid == os.getpid()
    assert str(found.holder).startswith("this program itself")


def test_a_device_that_is_gone_has_no_group_and_no_holder(tmp_path: Path):
    gone = str(tmp_path / "gone")
    assert group_of(gone) is None
    assert holder_of(gone) is None
    assert denied_advice(gone) == "ask the owner of this machine for access to it"


def test_the_ports_of_this_machine_can_be_listed():
    assert all(each.device for each in list_ports())
