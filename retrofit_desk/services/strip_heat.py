"""Do strips run? The sign of it in the electric meter's readings since electric heat is in use."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.physics.meter_readings import MeterReadings, by_hour, midnight_s
from retrofit_desk.physics.strip_heat import (
    COLD_BELOW_F,
    LoadBin,
    StripAnswer,
    StripSign,
    nearest_element_kw,
    strip_sign,
)
from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind, EquipmentStatus
from retrofit_desk.records.project import Project
from retrofit_desk.services.days import zone_of
from retrofit_desk.services.meter_readings import readings_in_use
from retrofit_desk.services.outside_temps import hourly_f, outside_temps_in_use, told_of
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

__all__ = [
    "COLD_BELOW_F",
    "LoadBin",
    "StripAnswer",
    "StripHeat",
    "StripHeatService",
    "StripSign",
    "nearest_element_kw",
]

HEATS_BY_POWER = (
    EquipmentKind.AIR_SOURCE_HEAT_PUMP,
    EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
    EquipmentKind.ELECTRIC_HEATER,
)


@dataclass(frozen=True)
class StripHeat:
    """What the readings say; without a sign, `why_not` says why in one line."""

    machine: str
    since: date | None
    meter: str
    sign: StripSign | None
    why_not: str
    weather: str


class StripHeatService:
    """Looks for the sign anew each time; nothing is kept."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def look(self) -> StripHeat:
        """The sign since the newest electric heat went in."""
        with self._project.session() as session:
            machine = _machine(session)
            if machine is None:
                return StripHeat(
                    "", None, "", None, "No heat pump or electric heater heats this house yet.", ""
                )
            since = _since(machine)
            empty = StripHeat(machine.name, since, "", None, "", "")
            try:
                return _looked(self._project, session, empty)
            except DeskError as error:
                return replace(empty, why_not=error.line())


def _machine(session: Session) -> m.Equipment | None:
    """The electric heat in use, the newest first."""
    query = select(m.Equipment).where(
        m.Equipment.kind.in_(HEATS_BY_POWER), m.Equipment.status == EquipmentStatus.IN_USE
    )
    found = list(session.scalars(query))
    return max(found, key=lambda one: (_since(one) or date.min, one.id), default=None)


def _since(machine: m.Equipment) -> date | None:
    return machine.tested_on or machine.installed_on


def _looked(project: Project, session: Session, empty: StripHeat) -> StripHeat:
    for meter in session.scalars(select(m.Meter).where(m.Meter.fuel == m.Fuel.ELECTRICITY)):
        readings = readings_in_use(project, session, meter)
        if readings is None:
            continue
        weather = weather_in_use(project, session)
        temps = outside_temps_in_use(project, session, weather)
        if empty.since is not None:
            readings = _from(readings, midnight_s(empty.since, zone_of(session)))
        found = replace(empty, meter=meter.name, weather=told_of(temps, weather.name))
        if not len(readings):
            began = day_text(empty.since) if empty.since is not None else ""
            return replace(found, why_not=f"The readings end before {empty.machine} ran ({began}).")
        hours = by_hour(readings, weather.utc_offset_h)
        return replace(found, sign=strip_sign(hours, hourly_f(weather, temps, hours.days)))
    return replace(
        empty,
        why_not="No readings by the hour are kept for the electric meter; the House page reads them in.",
    )


def _from(readings: MeterReadings, start_s: int) -> MeterReadings:
    later = readings.starts_s >= start_s
    return replace(
        readings,
        starts_s=readings.starts_s[later],
        used=readings.used[later],
        fed_in=readings.fed_in[later],
    )
