"""Signals at the winding machine: told apart by ear, one at a time, nothing left behind."""

from __future__ import annotations

import array
import os
import sys
import time
import wave
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from bench.operators.sounds import Signal, Silence, Sounds, find_players, notes_of, write_wav
from tests.drivers.clocks import VirtualClock

from .programs import Acted, script, which_in

posix = pytest.mark.skipif(sys.platform == "win32", reason="a shell script stands for the player")


class Heard:
    """A terminal's bell, with the times at which it rang."""

    def __init__(self, clock: VirtualClock) -> None:
        self._clock = clock
        self.times: list[float] = []

    def __call__(self) -> None:
        self.times.append(self._clock())

    def intervals(self) -> list[float]:
        return [round(b - a, 2) for a, b in pairwise(self.times)]


def sounds_with(*players: Acted) -> tuple[Sounds, Heard, VirtualClock]:
    clock = VirtualClock()
    bell = Heard(clock)
    return Sounds(bell, [each.program for each in players], clock=clock, sleep=clock.sleep), bell, clock


def look_for(sounds: Sounds, clock: VirtualClock, seconds: float, every: float = 0.05) -> None:
    for _ in range(round(seconds / every)):
        clock.sleep(every)
        sounds.looked()


def played(player: Acted) -> list[str]:
    return [Path(file).stem for file in player.begun]


# -- what they sound like ----------------------------------------------------------------------------


def samples_of(path: Path) -> tuple[Sequence[int], int]:
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        samples = array.array("h", file.readframes(file.getnframes()))
        if sys.byteorder == "big":
            samples.byteswap()
        return samples, file.getframerate()


def heard_notes(samples: Sequence[int], rate: int) -> list[tuple[float, float, float]]:
    """Begin, length and pitch of each stretch of sound between silences, from the samples alone."""
    window = rate // 200  # 5 ms
    loud = [max(map(abs, samples[at : at + window])) > 300 for at in range(0, len(samples), window)] + [False]
    edges = [n for n in range(len(loud)) if loud[n] != (loud[n - 1] if n else False)]
    notes = []
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        part = samples[begin * window : end * window]
        rising = sum(1 for a, b in pairwise(part) if a < 0 <= b)
        seconds = len(part) / rate
        notes.append((begin * window / rate, seconds, rising / seconds))
    return notes


@pytest.fixture(scope="module")
def recordings(tmp_path_factory: pytest.TempPathFactory) -> dict[Signal, tuple[Sequence[int], int]]:
    folder = tmp_path_factory.mktemp("wav")
    for signal in Signal:
        write_wav(folder / signal.name, notes_of(signal))
    return {signal: samples_of(folder / signal.name) for signal in Signal}


@pytest.mark.parametrize("signal", Signal)
def test_a_signal_is_short_not_too_loud_and_does_not_click(recordings, signal: Signal) -> None:
    samples, rate = recordings[signal]
    peak = max(map(abs, samples))
    assert len(samples) / rate < 1.5
    assert 0.3 * 32767 < peak < 0.8 * 32767
    for begin, seconds, _ in heard_notes(samples, rate):
        first, last = round(begin * rate), round((begin + seconds) * rate)
        for edge in (first, last):
            # half a millisecond about an edge: a note that begins or ends at full swing would stand out here
            around = samples[max(0, edge - rate // 2000) : edge + rate // 2000] or [0]
            assert max(map(abs, around)) < 0.35 * peak


def test_signals_differ_in_rhythm_and_in_the_way_that_the_pitch_goes(recordings) -> None:
    notes = {signal: heard_notes(*recordings[signal]) for signal in Signal}
    numbers = {signal: len(each) for signal, each in notes.items()}
    assert len(set(numbers.values())) == len(Signal), numbers

    pitches = {signal: [pitch for _, _, pitch in each] for signal, each in notes.items()}
    target, done, trouble = pitches[Signal.TARGET], pitches[Signal.DONE], pitches[Signal.TROUBLE]
    assert all(b > 1.15 * a for a, b in pairwise(target)), target
    assert all(b < 0.8 * a for a, b in pairwise(done)), done
    assert all(a > 1.5 * b for a, b in zip(trouble[::2], trouble[1::2], strict=True)), trouble
    assert all(350 < pitch < 1200 for each in pitches.values() for pitch in each), pitches

    pace = {signal: min([b[0] - a[0] for a, b in pairwise(each)] or [9.0])
            for signal, each in notes.items()}  # fmt: skip
    assert pace[Signal.TROUBLE] < pace[Signal.TARGET] < pace[Signal.DONE] < pace[Signal.WARNING]


# -- one at a time -----------------------------------------------------------------------------------


def test_a_more_urgent_signal_replaces_and_a_less_urgent_one_is_dropped() -> None:
    player = Acted()
    sounds, bell, clock = sounds_with(player)
    sounds.signal(Signal.TARGET)
    sounds.signal(Signal.WARNING)
    sounds.signal(Signal.TROUBLE)
    sounds.signal(Signal.DONE)
    look_for(sounds, clock, 1.0)
    player.ends()
    look_for(sounds, clock, 1.0)
    assert played(player) == ["target", "trouble"]
    assert player.most_alive == 1
    assert player.alive == []
    assert bell.times == []
    sounds.close()


def test_the_same_signal_again_while_it_sounds_is_one_and_afterwards_a_new_one() -> None:
    player = Acted()
    sounds, _, clock = sounds_with(player)
    sounds.signal(Signal.TROUBLE)
    sounds.signal(Signal.TROUBLE)
    clock.sleep(1.2)
    player.ends()
    sounds.signal(Signal.TROUBLE)
    assert played(player) == ["trouble", "trouble"]
    sounds.close()


def test_a_player_without_a_sound_card_leaves_the_signal_to_the_next_and_then_to_the_bell() -> None:
    deaf, missing = Acted("deaf"), Acted("missing", fails=FileNotFoundError("gone"))
    sounds, bell, clock = sounds_with(deaf, missing)
    sounds.signal(Signal.TARGET)
    deaf.ends(status=1)
    look_for(sounds, clock, 2.0)
    assert len(bell.times) == len(notes_of(Signal.TARGET))
    sounds.close()


def test_a_player_that_ends_well_long_before_the_signal_could_have_sounded_was_not_heard() -> None:
    hasty = Acted()
    sounds, bell, clock = sounds_with(hasty)
    sounds.signal(Signal.DONE)
    hasty.ends(status=0)
    look_for(sounds, clock, 2.0)
    assert len(bell.times) == len(notes_of(Signal.DONE))
    sounds.close()


def test_a_player_that_failed_twice_is_left_out_and_one_failure_is_forgiven() -> None:
    player = Acted()
    sounds, _, clock = sounds_with(player)
    for status in (1, 0, 1, 1):
        assert sounds.player == "acted"
        sounds.signal(Signal.WARNING)
        clock.sleep(0.3)
        player.ends(status)
        look_for(sounds, clock, 1.0)
    assert sounds.player is None
    sounds.close()


def test_a_player_that_hangs_is_ended_and_the_bell_rings() -> None:
    player = Acted()
    sounds, bell, clock = sounds_with(player)
    sounds.signal(Signal.DONE)
    look_for(sounds, clock, 6.0)
    assert player.alive == []
    assert len(bell.times) == len(notes_of(Signal.DONE))
    sounds.close()


# -- the bell ----------------------------------------------------------------------------------------


def test_without_a_player_the_bell_rings_in_the_rhythm_of_the_signal() -> None:
    rhythms = {}
    for signal in Signal:
        sounds, bell, clock = sounds_with()
        sounds.signal(signal)
        look_for(sounds, clock, 2.0, every=0.01)
        rhythms[signal] = (len(bell.times), min(bell.intervals(), default=None))
        sounds.close()
    assert rhythms == {
        Signal.WARNING: (1, None),
        Signal.TARGET: (3, 0.25),
        Signal.DONE: (2, 0.65),
        Signal.TROUBLE: (6, 0.2),
    }


def test_bells_that_are_looked_for_late_keep_their_distance() -> None:
    sounds, bell, clock = sounds_with()
    sounds.signal(Signal.TROUBLE)
    clock.sleep(0.7)  # busy elsewhere
    sounds.looked()
    look_for(sounds, clock, 2.0, every=0.01)
    assert len(bell.times) == 6
    assert min(bell.intervals()) == pytest.approx(0.2, abs=0.02)
    sounds.close()


def test_trouble_cuts_the_bells_of_the_target_short() -> None:
    sounds, bell, clock = sounds_with()
    sounds.signal(Signal.TARGET)
    sounds.signal(Signal.TROUBLE)
    look_for(sounds, clock, 2.0)
    assert len(bell.times) == 1 + 6
    sounds.close()


def test_a_terminal_that_is_gone_does_no_harm() -> None:
    def broken() -> None:
        raise BrokenPipeError

    with Sounds(broken, [], clock=VirtualClock(), sleep=lambda _: None) as sounds:
        sounds.signal(Signal.TROUBLE)
        assert sounds.sounding is Signal.TROUBLE
        sounds.close()


# -- the end -----------------------------------------------------------------------------------------


def test_after_closing_nothing_sounds_and_nothing_is_left() -> None:
    player = Acted()
    sounds, bell, clock = sounds_with(player)
    sounds.signal(Signal.TARGET)
    folder = Path(player.begun[0]).parent
    assert sorted(file.stem for file in folder.iterdir()) == ["done", "target", "trouble", "warning"]
    sounds.close()
    sounds.signal(Signal.TROUBLE)
    look_for(sounds, clock, 2.0)
    sounds.close()
    assert player.alive == []
    assert not folder.exists()
    assert played(player) == ["target"]
    assert bell.times == []


def test_closing_with_patience_lets_the_last_signal_end() -> None:
    sounds, bell, clock = sounds_with()
    sounds.signal(Signal.DONE)
    sounds.close(patience_s=2.0)
    assert len(bell.times) == len(notes_of(Signal.DONE))
    assert clock() == pytest.approx(100.0 + 1.25, abs=0.1)


def test_where_no_file_can_be_written_the_bell_rings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))
    player = Acted()
    sounds, bell, _ = sounds_with(player)
    sounds.signal(Signal.WARNING)
    assert (player.begun, len(bell.times)) == ([], 1)
    sounds.close()


def test_silence_takes_every_signal_and_does_nothing() -> None:
    silence = Silence()
    for signal in Signal:
        silence.signal(signal)
    silence.looked()
    silence.close(patience_s=60.0)


# -- real programs -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("platform", "there", "names"),
    [
        ("linux", {"paplay", "aplay", "afplay"}, ["paplay", "aplay"]),
        ("linux", {"pw-play", "paplay"}, ["pw-play", "paplay"]),
        ("linux", set(), []),
        ("darwin", {"afplay", "aplay"}, ["afplay"]),
        ("win32", set(), ["winsound"]),
    ],
)
def test_the_players_that_are_there_are_found(platform: str, there: set[str], names: list[str]) -> None:
    found = find_players(lambda name: f"/bin/{name}" if name in there else None, platform)
    assert [each.name for each in found] == names


@posix
def test_a_program_on_the_path_is_given_the_file_and_plays_it_to_its_end(tmp_path: Path) -> None:
    told = tmp_path / "told"
    script(tmp_path / "bin", "aplay", f'printf "%s\\n" "$@" > {told}\ntest -s "$2" && sleep 0.2')
    bells: list[int] = []
    with Sounds(lambda: bells.append(1), find_players(which_in(tmp_path / "bin"), "linux")) as sounds:
        sounds.signal(Signal.WARNING)
        assert sounds.sounding is Signal.WARNING
    quiet, file = told.read_text(encoding="utf-8").splitlines()
    assert (quiet, Path(file).name) == ("-q", "warning.wav")
    assert not Path(file).exists()
    assert sounds.player == "aplay"
    assert bells == []


@posix
def test_a_program_that_still_runs_at_close_is_ended_with_its_children(tmp_path: Path) -> None:
    pipe = tmp_path / "alive"
    os.mkfifo(pipe)
    # both hold the pipe open: its other end sees the end only when both are gone
    script(tmp_path / "bin", "paplay", f"exec 9>{pipe}\necho $$ >&9\nsleep 60 &\nsleep 60")
    sounds = Sounds(lambda: None, find_players(which_in(tmp_path / "bin"), "linux"))
    sounds.signal(Signal.TROUBLE)
    with pipe.open(encoding="utf-8") as alive:
        number = int(alive.readline())
        started = time.monotonic()
        sounds.close()
        assert alive.read() == ""
    assert time.monotonic() - started < 2.0
    with pytest.raises(ProcessLookupError):  # no zombie either
        os.kill(number, 0)
