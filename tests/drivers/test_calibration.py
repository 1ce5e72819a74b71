"""A certificate's accuracy goes before the profile's, for its range and its frequencies."""

from __future__ import annotations

import pytest

from drivers.accuracy import Accuracy
from drivers.calibration import CalibratedAccuracy, with_calibration
from drivers.errors import ProfileError
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity

V = Quantity.VOLTAGE_AC
BETTER, BEST, OTHER = Accuracy(0.03, 0.02), Accuracy(0.02, 0.01), Accuracy(0.5)


def accuracies(hertz: float | None, *calibrated: CalibratedAccuracy) -> dict[float, float]:
    ranges = with_calibration(load_meter_profile("scpi"), calibrated, hertz).functions[V].ranges
    return {each.full_scale: each.accuracy.percent_of_reading for each in ranges}


def test_one_for_a_range_goes_before_one_for_all() -> None:
    found = accuracies(50.0, CalibratedAccuracy(V, BEST, 10.0), CalibratedAccuracy(V, BETTER))
    assert found == {0.1: 0.03, 1.0: 0.03, 10.0: 0.02, 100.0: 0.03, 750.0: 0.03}


@pytest.mark.parametrize(("hertz", "percent"), [(50.0, 0.03), (400.0, 0.5), (10.0, 0.06), (None, 0.06)])
def test_the_band_is_chosen_by_the_frequency_and_outside_of_all_the_profile_stands(
    hertz: float | None, percent: float
) -> None:
    bands = (CalibratedAccuracy(V, BETTER, None, 45.0, 65.0), CalibratedAccuracy(V, OTHER, None, 65.0, None))
    assert set(accuracies(hertz, *bands).values()) == {percent}


def test_what_the_meter_does_not_have_is_refused_in_words() -> None:
    profile = load_meter_profile("scpi")
    with pytest.raises(ProfileError, match=r"no range of 30 V, expected one of 0\.1, 1, 10, 100, 750"):
        with_calibration(profile, [CalibratedAccuracy(V, BETTER, 30.0)], 50.0)
    with pytest.raises(ProfileError, match="temperature is not read by"):
        with_calibration(profile, [CalibratedAccuracy(Quantity.TEMPERATURE, BETTER)], 50.0)


def test_it_goes_before_the_bands_of_a_profile_too() -> None:
    profile = load_meter_profile("displayed-value")
    (here, *_) = with_calibration(profile, [CalibratedAccuracy(V, BEST)], 50.0).functions[V].ranges
    assert here.accuracy_at(50.0) == BEST
