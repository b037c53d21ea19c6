"""The sun at noon on a day of the year: how high it stands, and how steeply it meets a wall."""

from __future__ import annotations

import math

from retrofit_desk.physics.errors import require_between

# Days of the year that drawings show: June 21, March 21, December 21
JUNE_DAY, EQUINOX_DAY, DECEMBER_DAY = 172, 80, 355


def declination_deg(day_of_year: int) -> float:
    """Declination of the sun, within half a degree. Cooper 1969, Solar Energy 12 (from memory)."""
    require_between("day of the year", day_of_year, 1, 366)
    return 23.45 * math.sin(math.radians(360.0 * (284 + day_of_year) / 365.0))


def noon_altitude_deg(latitude_deg: float, day_of_year: int) -> float:
    """Altitude of the sun at solar noon; below 0 where it does not rise."""
    require_between("latitude in degrees", latitude_deg, -90.0, 90.0)
    return 90.0 - abs(latitude_deg - declination_deg(day_of_year))


def noon_azimuth_deg(latitude_deg: float, day_of_year: int) -> float:
    """Where the noon sun stands, clockwise from north: in the south, or in the north beyond the sun's path."""
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
