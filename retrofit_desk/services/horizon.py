"""How high hills and houses stand around the house, by eighths of the compass."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select

from retrofit_desk.estimate.sun_from_records import site_of
from retrofit_desk.physics.description import Site
from retrofit_desk.physics.noon_sun import NOON_DAYS, QUARTERS, day_course, noon_azimuth_deg
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house_facts import CannotBe

AZIMUTHS_DEG = tuple(45.0 * eighth for eighth in range(8))
KEPT = "nothing was changed"


@dataclass(frozen=True)
class SunCourse:
    """The sun of one day in quarters of an hour: (azimuth, altitude) in degrees, and the hours it is up.

    `hours_left`: what hills and trees leave of them, a tree that lets through a share as that share.
    """

    day: str
    points: tuple[tuple[float, float], ...]
    noon_azimuth_deg: float
    hours_left: float

    @property
    def hours_up(self) -> float:
        return len(self.points) / QUARTERS


class HorizonService:
    """Reads and records the horizon; between the eight directions it is taken as a straight line."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def altitudes_deg(self) -> tuple[float | None, ...]:
        """North first, clockwise; all None where it was not looked at."""
        with self._project.session() as session:
            known = {one.azimuth_deg: one.altitude_deg for one in session.scalars(select(m.HorizonPoint))}
        return tuple(known.get(azimuth) for azimuth in AZIMUTHS_DEG)

    def sun_courses(self) -> tuple[SunCourse, ...]:
        """The sun of June, the equinox and December behind what is recorded; none where no latitude is."""
        with self._project.session() as session:
            latitude = session.scalar(select(m.Site.latitude_deg))
            around = site_of(session)
        if latitude is None:
            return ()
        return tuple(_course(around, latitude, day, number) for day, number in NOON_DAYS)

    def change(self, altitudes_deg: tuple[float | None, ...]) -> None:
        """Record all eight directions, or none of them. Raises `CannotBe`."""
        stated = [one for one in altitudes_deg if one is not None]
        if stated and len(stated) < len(AZIMUTHS_DEG):
            raise CannotBe(
                "some directions are missing", where="Horizon", kept=KEPT, do="type 0 where the view is open"
            )
        if any(not 0.0 <= one < 90.0 for one in stated):
            raise CannotBe("it must lie between 0 and 90 degrees", where="Horizon", kept=KEPT)
        with self._project.action("Change the horizon") as work:
            rows = {one.azimuth_deg: one for one in work.session.scalars(select(m.HorizonPoint))}
            for azimuth, altitude in zip(AZIMUTHS_DEG, altitudes_deg, strict=True):
                row = rows.get(azimuth)
                if altitude is None:
                    if row is not None:
                        work.session.delete(row)
                elif row is None:
                    work.session.add(m.HorizonPoint(azimuth_deg=azimuth, altitude_deg=altitude))
                else:
                    row.altitude_deg = altitude


def _course(around: Site, latitude_deg: float, day: str, number: int) -> SunCourse:
    import numpy as np

    from retrofit_desk.physics.skyline import share_left

    points = day_course(latitude_deg, number)
    month = (date(2001, 1, 1) + timedelta(days=number - 1)).month - 1  # any year of 365 days
    azimuth, altitude = np.array(points).reshape(-1, 2).T
    left = share_left(around, azimuth, altitude, np.full(len(points), month))
    return SunCourse(day, points, noon_azimuth_deg(latitude_deg, number), float(left.sum()) / QUARTERS)
