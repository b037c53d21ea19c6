"""How high hills and houses stand around the house, by eighths of the compass."""

from __future__ import annotations

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house_edits import CannotBe

AZIMUTHS_DEG = tuple(45.0 * eighth for eighth in range(8))
KEPT = "nothing was changed"


class HorizonService:
    """Reads and records the horizon; between the eight directions it is taken as a straight line."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def altitudes_deg(self) -> tuple[float | None, ...]:
        """North first, clockwise; all None where it was not looked at."""
        with self._project.session() as session:
            known = {one.azimuth_deg: one.altitude_deg for one in session.scalars(select(m.HorizonPoint))}
        return tuple(known.get(azimuth) for azimuth in AZIMUTHS_DEG)

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
