"""The spoken count: the newest is said, what is being said is finished, nothing is left behind."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from bench.operators.speech import Speaker, find_voices
from tests.drivers.clocks import VirtualClock

from .programs import Acted, script, which_in

posix = pytest.mark.skipif(sys.platform == "win32", reason="a shell script stands for the voice")


def speaker_with(*voices: Acted) -> tuple[Speaker, VirtualClock]:
    clock = VirtualClock()
    return Speaker([each.program for each in voices], clock=clock, sleep=clock.sleep), clock


def finish(speaker: Speaker, clock: VirtualClock, voice: Acted) -> None:
    clock.sleep(0.5)
    voice.ends()
    speaker.looked()


def test_what_is_being_said_is_finished_and_of_what_waits_only_the_newest_is_said() -> None:
    voice = Acted()
    speaker, clock = speaker_with(voice)
    for text in ("110", "120", "130", "target"):
        speaker.say(text)
    assert voice.begun == ["110"]
    finish(speaker, clock, voice)
    finish(speaker, clock, voice)
    assert voice.begun == ["110", "target"]
    assert voice.most_alive == 1
    speaker.close()


def test_without_a_voice_nothing_is_said_and_nothing_raised() -> None:
    speaker, _ = speaker_with()
    speaker.say("110")
    assert speaker.voice is None
    speaker.close(patience_s=1.0)


def test_a_voice_that_fails_or_was_too_short_to_be_heard_hands_over_to_the_next() -> None:
    broken, hasty, good = Acted("broken", fails=PermissionError("no")), Acted("hasty"), Acted("good")
    speaker, clock = speaker_with(broken, hasty, good)
    for text in ("10", "20", "30"):
        speaker.say(text)
        if hasty.alive:
            hasty.ends()
            speaker.looked()
        finish(speaker, clock, good)
    assert good.begun == ["10", "20", "30"]
    assert hasty.begun == ["10", "20"]  # left out after two failures
    assert speaker.voice == "good"
    speaker.close()


def test_a_voice_that_hangs_is_ended() -> None:
    voice = Acted()
    speaker, clock = speaker_with(voice)
    speaker.say("10")
    clock.sleep(16.0)
    speaker.looked()
    speaker.looked()
    assert voice.alive == []
    speaker.close()


def test_at_close_the_voice_is_ended_and_stays_silent() -> None:
    voice = Acted()
    speaker, _ = speaker_with(voice)
    speaker.say("target")
    speaker.close()
    speaker.say("110")
    assert (voice.alive, voice.begun) == ([], ["target"])


@pytest.mark.parametrize(
    ("text", "words"),
    [("  5 to\tgo\n", "5 to go"), ("1\x00\x1b[2J0", "1 [2J0"), ("x" * 500, "x" * 120), ("", None), (" \n", None)],
)
def test_what_is_said_is_one_line_of_words(text: str, words: str | None) -> None:
    voice = Acted()
    speaker, _ = speaker_with(voice)
    speaker.say(text)
    assert voice.begun == ([] if words is None else [words])
    speaker.close()


@pytest.mark.parametrize(
    ("platform", "there", "names"),
    [
        ("linux", {"spd-say", "espeak-ng", "say"}, ["espeak-ng", "spd-say"]),
        ("linux", set(), []),
        ("darwin", {"say", "espeak-ng"}, ["say", "espeak-ng"]),
        ("win32", set(), ["System.Speech"]),
    ],
)
def test_the_voices_that_are_there_are_found(platform: str, there: set[str], names: list[str]) -> None:
    found = find_voices(lambda name: f"/bin/{name}" if name in there else None, platform)
    assert [each.name for each in found] == names


HOSTILE = ["110", "--help", "-w evil.wav", "$(touch evil)", "; touch evil", "`touch evil` | & > evil"]


@posix
@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("name", ["espeak-ng", "say", "spd-say"])
def test_a_program_gets_the_text_as_words_and_never_as_an_option_or_a_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, text: str
) -> None:
    monkeypatch.chdir(tmp_path)
    script(tmp_path / "bin", name, 'printf "%s\\n" "$@" > options\ncat > heard')
    with Speaker(find_voices(which_in(tmp_path / "bin"), "darwin")) as speaker:  # waits for the last words
        speaker.say(text)
    options = (tmp_path / "options").read_text(encoding="utf-8").splitlines()
    if name == "spd-say":
        assert options[-2:] == ["--", text]
    else:
        assert text not in options
        assert (tmp_path / "heard").read_text(encoding="utf-8") == text
    assert not (tmp_path / "evil").exists()
