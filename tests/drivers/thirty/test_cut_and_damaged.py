"""Answers that are cut, or whose bytes are not those that were sent: cases 6 to 12."""

from __future__ import annotations

import logging

import pytest

from drivers.errors import NoAnswer, OutOfStep, Unreadable

from .meters import instead
from .scripted_bench import TIMING, Bench
from .wrong_frames import as_seen_at, with_parity


@pytest.mark.parametrize("kept", [1, 5, 9, 14])
def test_an_answer_that_is_cut_is_a_time_out_and_never_a_value(bench: Bench, kept: int):
    """case 6: also where the piece is a number by itself."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:kept])])
    said = bench.fails(meter, NoAnswer, "only a piece without an end")
    assert "+" in said
    bench.reads_its_own(meter)


def test_an_answer_without_its_end_is_a_time_out(bench: Bench):
    """case 6: all but the terminator came."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer.rstrip(b"\n"))])
    bench.fails(meter, NoAnswer, "only a piece without an end")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("kept", [1, 8, 14])
def test_an_answer_with_a_pause_in_it_is_read_whole(bench: Bench, kept: int):
    """case 7: the rest comes before the deadline."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:kept]), (0.12, answer[kept:])])
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:kept]), (0.12, answer[kept:])])
    bench.reads_its_own(meter)


@pytest.mark.parametrize("kept", [1, 8, 14])
@pytest.mark.parametrize("pause", [0.02, 0.2])
def test_neither_the_head_nor_the_tail_of_an_answer_is_a_value(bench: Bench, kept: int, pause: float):
    """case 7: the rest comes after the deadline; the tail may be a number by itself."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:kept]), (TIMING.response_s + pause, answer[kept:])])
    bench.fails(meter, NoAnswer, "only a piece without an end")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("place", [0, 3, 14])
def test_a_nul_inside_the_line_is_not_cleaned_up(bench: Bench, place: int):
    """case 8."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:place] + b"\0" + answer[place:])])
    bench.fails(meter, Unreadable, r"READ\?.*00")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("garbage", [b"\xff", b"\xc3\xa9", b"\x80\x81\xfe\n", b"\xed\xa0\x80"])
def test_garbage_before_the_line_is_rejected_and_decoding_it_raises_nothing_else(bench: Bench, garbage: bytes):
    """case 9: not even ASCII, not even UTF-8."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, garbage + answer)])
    bench.fails(meter, Unreadable, f"{garbage[0]:02x}")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("place", range(0, 14, 3))
def test_a_character_that_is_no_digit_any_more_makes_the_whole_answer_bad(bench: Bench, place: int):
    """case 10: the digits before it are a number, and are not taken for one."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer[:place] + b"x" + answer[place + 1 :])])
    bench.fails(meter, OutOfStep, "is not a number")
    bench.reads_its_own(meter)


@pytest.mark.parametrize("where", [0, 1])
def test_a_digit_that_became_another_digit_does_not_agree_with_the_next_answer(bench: Bench, where: int):
    """case 10: nobody can see it in the line; two answers that differ are not taken, a third is asked for."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([lambda answer: [(0.0, answer)]] * where)
    bench.scripted.line_faults.append(lambda answer: [(0.0, answer.replace(b"6.3", b"6.7"))])
    bench.reads_its_own(meter)


def test_a_damaged_letter_in_the_identity_is_no_other_meter(bench: Bench):
    """case 10: neither at opening, nor when getting in step."""
    peer = bench.plug()
    told: list[int] = []

    def damaged(answer: bytes) -> list[tuple[float, bytes]]:
        told.append(1)
        return [(0.0, answer.replace(b"0042", b"0842") if len(told) in (1, 4) else answer)]

    bench.scripted.answer_faults["*IDN?"] = damaged
    meter = bench.on_volts(peer.device)
    assert meter.identity == "NOBODY,TM6,0042,1.0"
    bench.scripted.line_faults.append(lambda _: [])
    bench.fails(meter, NoAnswer, "no answer")
    bench.reads_its_own(meter)


def test_a_damaged_letter_in_the_proof_of_the_selection_is_no_refusal(bench: Bench):
    """case 10."""
    meter = bench.on_volts(bench.plug().device)
    faults = [lambda answer: [(0.0, answer.replace(b"AC", b"AB"))]]
    bench.scripted.answer_faults["CONF?"] = lambda answer: faults.pop()(answer) if faults else [(0.0, answer)]
    bench.reads_its_own(meter)
    assert not faults


@pytest.mark.parametrize("kind", ["even", "odd", "mark"])
def test_seven_bits_and_a_parity_bit_are_called_that_and_not_silence(bench: Bench, kind: str):
    """case 11: with odd and mark parity not even the end of the line is one."""
    peer = bench.plug(garble=lambda data: with_parity(data, kind))
    meter = bench.meter_on(peer.device)
    with bench.in_time(TIMING.resync_s), pytest.raises(Unreadable, match="check the line's rate, data bits and parity"):
        meter.open()


def test_a_parity_that_changes_in_the_middle_is_named_and_got_over(bench: Bench):
    """case 11: the meter's panel was touched, and touched again."""
    wrong: list[str] = []
    peer = bench.plug(garble=lambda data: with_parity(data, wrong[0]) if wrong else data)
    meter = bench.on_volts(peer.device)
    wrong.append("even")
    bench.fails(meter, Unreadable, "data bits and parity")
    wrong.clear()
    bench.reads_its_own(meter)


@pytest.mark.parametrize(("sent", "seen"), [(9600, 19200), (9600, 4800), (19200, 9600), (9600, 115200), (1200, 9600)])
def test_a_wrong_rate_is_called_that_and_its_bytes_are_in_the_log_as_hex(
    bench: Bench, sent: int, seen: int, caplog: pytest.LogCaptureFixture
):
    """case 12: the answers as a receiver samples them at the wrong rate; what it hears it answers all the same."""
    peer = bench.plug(garble=lambda data: as_seen_at(data, sent, seen))
    meter = bench.meter_on(peer.device)
    with bench.in_time(TIMING.resync_s), pytest.raises(Unreadable, match="check the line's rate") as trouble:
        meter.open()
    assert len(str(trouble.value)) < 400
    assert "+6.3" not in str(trouble.value)


def test_a_stretch_of_noise_is_logged_as_hex_and_bounded(bench: Bench, caplog: pytest.LogCaptureFixture):
    """case 12: 3000 bytes of it, between two readings."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    with caplog.at_level(logging.INFO):
        bench.scripted.line_faults.append(instead((0.0, bytes(range(128, 256)) * 24)))
        bench.fails(meter, Unreadable, "80 81 82 83")
    assert all(len(record.getMessage()) < 500 for record in caplog.records)
    bench.reads_its_own(meter)
