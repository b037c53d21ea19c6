"""Temperatures of billed days: measured where known, else typical."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from retrofit_desk.physics.outside_temps import OutsideTemps

TYPICAL = np.arange(365.0)
START = date(2024, 2, 20)


def known(count: int) -> OutsideTemps:
    return OutsideTemps(TYPICAL, {START + timedelta(days=at): 40.0 for at in range(count)})


def test_a_period_without_measured_days_takes_the_typical_ones() -> None:
    temps = known(0)
    assert temps.of(START, START + timedelta(days=3)) == pytest.approx([50.0, 51.0, 52.0])
    # February 29 takes the day after, so that the year keeps its length
    assert temps.of(date(2024, 12, 30), date(2025, 1, 1)) == pytest.approx([364.0, 364.0])


@pytest.mark.parametrize(("count", "is_measured"), [(30, True), (27, True), (26, False)])
def test_nine_tenths_of_a_period_must_be_measured(count: int, is_measured: bool) -> None:
    # MV-1: open M&V methods document 2.0: temperature coverage 90 % per bill
    temps, end = known(count), START + timedelta(days=30)
    assert temps.is_measured(START, end) is is_measured
    assert len(temps.of(START, end)) == (count if is_measured else 30)
    assert (temps.of(START, end) == 40.0).all() == is_measured
