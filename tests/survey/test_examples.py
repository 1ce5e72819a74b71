"""Both example jobs, from their readings as found to sentences; and with a slip planted in each."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.bench_file import AccuracyText, MeterAccuracy
from bench.job.file import read_job
from bench.job.profiles import example_job, load_table
from bench.survey.evidence import evidence_of
from bench.survey.sentences import says
from bench.survey.survey import Survey, survey_of

RULES = load_table("limits", "survey")
METER = MeterAccuracy(voltage_ac=AccuracyText(of_reading=0.003, counts=3))
Edit = Callable[[str], str]


def _survey(name: str, tmp_path: Path, edit: Edit = lambda text: text) -> Survey:
    text = example_job(name).read_text(encoding="utf-8")
    changed = edit(text)
    path = tmp_path / "job.toml"
    path.write_text(changed, encoding="utf-8")
    job = read_job(path)
    assert job.as_found is not None
    return survey_of(job, job.as_found, evidence_of(job.as_found, RULES, lambda _: METER), RULES)


def _said(survey: Survey) -> str:
    return "\n".join(line for one in says(survey) for line in (one.heading, *one.lines))


def _counted(winding: str, turns: float) -> Edit:
    """The count of a winding as found, as somebody typed it."""
    pattern = rf'(\[\[as_found\.winding\]\]\nname = "{winding}"\n(?:(?!\n\[).)*?\nturns = )\d+'

    def edit(text: str) -> str:
        changed, times = re.subn(pattern, rf"\g<1>{turns:g}", text, flags=re.S)
        assert times == 1
        return changed

    return edit


def _fed_volts(factor: float) -> Edit:
    """Every reading of the fed volts by a factor, as of a wrong tap or a probe of its own scale."""

    def edit(text: str) -> str:
        return re.sub(r'fed_voltage = "([\d.]+) V"', lambda m: f'fed_voltage = "{float(m[1]) * factor:.2f} V"', text)

    return edit


@pytest.mark.parametrize(
    ("name", "per_volt", "flux", "word"),
    # 280 turns / (117 V x 0.996), and 1584 / (230 V x 0.996); B = 1 / (4.4429 f T A) with A = 13.39 and 5.115 cm2.
    [
        ("coastal-receiver", 2.4027, 1.166, "does not bear it"),
        ("gate-opener", 6.915, 1.272, "bears it"),
    ],
)
def test_an_example_comes_to_turns_per_volt_flux_and_steel(
    name: str, per_volt: float, flux: float, word: str, tmp_path: Path
) -> None:
    survey = _survey(name, tmp_path)
    assert survey.turns_per_volt is not None
    assert survey.flux is not None
    assert survey.turns_per_volt.value == pytest.approx(per_volt, abs=2 * survey.turns_per_volt.expanded)
    assert survey.turns_per_volt.relative < 0.005
    assert survey.flux.as_made.nominal.value == pytest.approx(flux, rel=0.005)
    assert survey.steels[0].fits
    assert not survey.disagrees
    said = _said(survey)
    assert f"The core as found {word}" in said
    assert "turns per volt with" in said
    assert "usual and no miscount" in said


def test_sixty_to_fifty_hertz_is_told_calmly_with_the_windings_that_it_concerns(tmp_path: Path) -> None:
    said = _said(_survey("coastal-receiver", tmp_path))
    assert "50 Hz raises it x 1.2 at the same turns per volt, whatever the volts" in said
    assert "every winding, the secondaries too, takes x 1.2 the turns" in said
    assert "was taken at this frequency and answers by itself" in said


def test_a_plate_for_both_frequencies_is_named_as_such(tmp_path: Path) -> None:
    survey = _survey(
        "coastal-receiver",
        tmp_path,
        lambda text: text.replace('frequency = "60 Hz"', 'frequency = "60 Hz"\nor_frequency = "50 Hz"'),
    )
    assert "it was made for this frequency as well" in _said(survey)


def test_a_planted_miscount_is_named(tmp_path: Path) -> None:
    said = _said(_survey("coastal-receiver", tmp_path, _counted("heater", 17)))
    assert "heater was miscounted by 1 turn, too many" in said


def test_a_planted_half_turn_is_named(tmp_path: Path) -> None:
    said = _said(_survey("coastal-receiver", tmp_path, _counted("rectifier", 12.5)))
    assert "rectifier has half a turn more than counted" in said


def test_a_planted_wrong_reference_is_named(tmp_path: Path) -> None:
    said = _said(_survey("coastal-receiver", tmp_path, _fed_volts(1.05)))
    assert re.search(r"every winding is off by the same 4\.\d % against primary: the reference is wrong", said)


def test_with_one_secondary_a_slip_is_seen_and_left_open_between_the_two(tmp_path: Path) -> None:
    survey = _survey("gate-opener", tmp_path, _counted("supply24", 178))
    assert survey.disagrees
    assert survey.slips[0].probability < 0.9
