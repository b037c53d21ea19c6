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
    day_course,
    declination_deg,
    noon_altitude_deg,
    noon_profile_angle_deg,
    sun_at,
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


def test_the_sun_in_the_afternoon_is_the_book_s() -> None:
    # SOL-6: Duffie & Beckman, Example 1.6.3 (from memory): 43 degrees, declination -2.4, 16:00 solar;
    # zenith 70.3, azimuth 66.8 west of south, to the printed digit
    azimuth, altitude = sun_at(43.0, -2.4, 60.0)
    assert 90.0 - altitude == pytest.approx(70.3, abs=0.05)
    assert azimuth - 180.0 == pytest.approx(66.8, abs=0.05)


@given(st.floats(-66.0, 66.0), st.sampled_from([JUNE_DAY, EQUINOX_DAY, DECEMBER_DAY]))
def test_a_day_rises_in_the_east_is_highest_at_noon_and_is_symmetric(latitude_deg: float, day: int) -> None:
    course = day_course(latitude_deg, day)
    half = len(course) // 2
    assert all(0.0 < azimuth < 180.0 for azimuth, _ in course[:half])
    assert max(altitude for _, altitude in course) <= noon_altitude_deg(latitude_deg, day) + 1e-9
    for (morning, low), (evening, high) in zip(course, reversed(course), strict=True):
        assert low == pytest.approx(high, abs=1e-6)
        assert (morning + evening) % 360.0 == pytest.approx(0.0, abs=1e-6) or (
            morning + evening
        ) % 360.0 == pytest.approx(360.0, abs=1e-6)
