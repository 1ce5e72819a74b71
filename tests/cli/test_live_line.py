"""What a meter shows while it settles, on a terminal, in a pipe and as JSON."""

from __future__ import annotations

import io
import json

from bench.cli.live_line import LiveLine
from drivers.reading import Quantity


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def live(out: io.StringIO, *, as_json: bool = False) -> LiveLine:
    line = LiveLine(out, as_json=as_json, clock=lambda: 7.0)  # no time passes: only what is said anew is shown
    line.reads(Quantity.VOLTAGE_AC)
    return line


def test_a_terminal_has_one_line_that_is_written_over_and_left_clean() -> None:
    out = Terminal()
    line = live(out)
    line.show("ratio:ht", 6.3, "settling")
    line.show("ratio:ht", 6.31, "settling")
    line.end()
    assert out.getvalue().count("\n") == 0
    assert "ratio:ht: 6.3000 V  settling" in out.getvalue()
    assert "6.31" not in out.getvalue()
    assert out.getvalue().endswith(" \r")


def test_a_pipe_gets_words_that_need_somebody_once_and_no_numbers_that_move() -> None:
    out = io.StringIO()
    line = live(out)
    line.show("open_circuit:ht", 3.1e-3, "nothing there: 3.10 mV (250 V due)")
    line.show("open_circuit:ht", 3.2e-3, "nothing there: 3.20 mV (250 V due)")
    line.show("open_circuit:ht", 250.0, "settled")
    assert out.getvalue() == "    open_circuit:ht: nothing there: 3.10 mV (250 V due)\n"


def test_json_carries_the_value_in_si_or_null_for_over_range() -> None:
    out = io.StringIO()
    live(out, as_json=True).show("resistance:ht", None, "open")
    said = json.loads(out.getvalue())
    assert said == {"schema": 1, "settling": {"step": "resistance:ht", "value": None, "unit": "V", "state": "open"}}
