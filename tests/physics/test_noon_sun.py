"""The noon sun of three days against a general library and against geometry."""

import math

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib import solarposition

from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.noon_sun import (
    DECEMBER_DAY,
    EQUINOX_DAY,
    JUNE_DAY,
    declination_deg,
    noon_altitude_deg,
    noon_profile_angle_deg,
)


# pvlib 0.16 by Spencer 1971: Cooper's formula lies within half a degree of it, near the equinoxes within one
@pytest.mark.parametrize(("day", "within_deg"), [(JUNE_DAY, 0.5), (EQUINOX_DAY, 1.0), (DECEMBER_DAY, 0.5)])
def test_declination_agrees_with_a_general_library(day: int, within_deg: float) -> None:
    expected = math.degrees(float(solarposition.declination_spencer71(day)))
    assert declination_deg(day) == pytest.approx(expected, abs=within_deg)


@pytest.mark.parametrize("day", [JUNE_DAY, EQUINOX_DAY, DECEMBER_DAY])
def test_noon_altitude_is_the_highest_of_the_day(day: int) -> None:
    # pvlib 0.16, solar position algorithm of NREL/TP-560-34302, Greensboro
    times = pd.date_range("2026-01-01", periods=365, freq="D", tz="UTC")[day - 1] + pd.to_timedelta(
        range(24 * 60), unit="m"
    )
    highest = float(
        solarposition.get_solarposition(pd.DatetimeIndex(times), 36.06, -79.87)["elevation"].max()
    )
    assert noon_altitude_deg(36.06, day) == pytest.approx(highest, abs=1.0)


def test_equinox_sun_stands_at_the_complement_of_the_latitude() -> None:
    assert noon_altitude_deg(40.0, EQUINOX_DAY) == pytest.approx(50.0, abs=1.0)


def test_square_wall_sees_the_sun_at_its_altitude() -> None:
    assert noon_profile_angle_deg(36.0, DECEMBER_DAY, 180.0) == pytest.approx(
        noon_altitude_deg(36.0, DECEMBER_DAY)
    )


def test_noon_sun_never_stands_before_a_north_or_an_east_wall() -> None:
    assert noon_profile_angle_deg(36.0, JUNE_DAY, 0.0) is None
    assert noon_profile_angle_deg(36.0, JUNE_DAY, 90.0) is None


def test_noon_sun_stands_in_the_north_south_of_the_equator() -> None:
    assert noon_profile_angle_deg(-36.0, JUNE_DAY, 0.0) is not None
    assert noon_profile_angle_deg(-36.0, JUNE_DAY, 180.0) is None


@given(st.floats(100.0, 179.0), st.floats(25.0, 55.0))
def test_sun_looks_steeper_across_a_slanted_wall(azimuth: float, latitude: float) -> None:
    slanted = noon_profile_angle_deg(latitude, DECEMBER_DAY, azimuth)
    assert slanted is not None
    assert slanted >= noon_altitude_deg(latitude, DECEMBER_DAY) - 1e-9


def test_latitude_beyond_the_pole_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="latitude"):
        noon_altitude_deg(91.0, JUNE_DAY)
