"""The sun on a day of the year: its course, how high it stands at noon, how steeply it meets a wall."""

from __future__ import annotations

import math

from retrofit_desk.physics.errors import require_between
from retrofit_desk.physics.over_arrays import over_arrays

# Days of the year that drawings show: June 21, March 21, December 21
JUNE_DAY, EQUINOX_DAY, DECEMBER_DAY = 172, 80, 355
NOON_DAYS = (("June 21", JUNE_DAY), ("Equinox", EQUINOX_DAY), ("December 21", DECEMBER_DAY))
QUARTERS = 4  # of an hour


@over_arrays
def declination_deg(day_of_year: int) -> float:
    """Declination of the sun, within half a degree. Cooper 1969, Solar Energy 12 (from memory)."""
    require_between("day of the year", day_of_year, 1, 366)
    return 23.45 * math.sin(math.radians(360.0 * (284 + day_of_year) / 365.0))


@over_arrays
def noon_altitude_deg(latitude_deg: float, day_of_year: int) -> float:
    """Altitude of the sun at solar noon; below 0 where it does not rise."""
    require_between("latitude in degrees", latitude_deg, -90.0, 90.0)
    return 90.0 - abs(latitude_deg - declination_deg(day_of_year))


@over_arrays
def noon_azimuth_deg(latitude_deg: float, day_of_year: int) -> float:
    """Where the noon sun stands, clockwise from north: in the south, or north beyond the sun's path."""
    return 180.0 if latitude_deg >= declination_deg(day_of_year) else 0.0


def noon_profile_angle_deg(latitude_deg: float, day_of_year: int, wall_azimuth_deg: float) -> float | None:
    """Angle of the noon sun in the section across a wall; None when it does not stand before the wall.

    `wall_azimuth_deg` clockwise from north. tan(profile) = tan(altitude)/cos(azimuth from the wall): ASHRAE
    Fundamentals, fenestration chapter (from memory).
    """
    altitude = noon_altitude_deg(latitude_deg, day_of_year)
    toward = math.cos(math.radians(noon_azimuth_deg(latitude_deg, day_of_year) - wall_azimuth_deg))
    if altitude <= 0.0 or toward < 1e-6:
        return None
    return math.degrees(math.atan(math.tan(math.radians(altitude)) / toward))


def sun_at(latitude_deg: float, declination: float, hour_angle_deg: float) -> tuple[float, float]:
    """(azimuth clockwise from north, altitude) in degrees; the hour angle is 0 at noon, afternoon above 0.

    Duffie & Beckman, Solar Engineering of Thermal Processes, par. 1.6 (from memory).
    """
    lat, dec, hour = map(math.radians, (latitude_deg, declination, hour_angle_deg))
    up = math.sin(lat) * math.sin(dec) + math.cos(lat) * math.cos(dec) * math.cos(hour)
    north = math.cos(lat) * math.sin(dec) - math.sin(lat) * math.cos(dec) * math.cos(hour)
    east = -math.cos(dec) * math.sin(hour)
    return math.degrees(math.atan2(east, north)) % 360.0, math.degrees(math.asin(max(-1.0, min(1.0, up))))


def day_course(latitude_deg: float, day_of_year: int) -> tuple[tuple[float, float], ...]:
    """(azimuth, altitude) of the sun in the middle of every quarter of an hour in which it is up."""
    require_between("latitude in degrees", latitude_deg, -90.0, 90.0)
    declination = declination_deg(day_of_year)
    step_deg = 15.0 / QUARTERS
    angles = (-180.0 + step_deg * (number + 0.5) for number in range(24 * QUARTERS))
    found = (sun_at(latitude_deg, declination, angle) for angle in angles)
    return tuple(point for point in found if point[1] > 0.0)
