"""What the model of the house as described uses by month, to be held beside the bills."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_in
from retrofit_desk.services.fuel_rows import kwh_per_unit
from retrofit_desk.services.worth import WorthService


@dataclass(frozen=True)
class ModeledYear:
    """The last savings sum's house before any measure: (meter id, twelve months in the meter's unit)."""

    made_on: date
    is_out_of_date: bool
    weather: str
    house: str
    """As described, or as fitted to its bills: a sentence."""
    months: tuple[tuple[int, tuple[float, ...]], ...]

    def of(self, meter_id: int) -> tuple[float, ...] | None:
        """Twelve months of one meter, January first."""
        return dict(self.months).get(meter_id)


class ModeledUseService:
    """Reads the kept savings sum."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._worth = WorthService(project)

    def year(self) -> ModeledYear | None:
        """The modeled year; None before the first savings sum."""
        found = self._worth.latest()
        if found is None:
            return None
        with self._project.session() as session:
            tables = tables_in(session)
            months = tuple(
                (meter.id, months_of(found.before, meter, kwh_per_unit(meter, tables)))
                for meter in session.scalars(select(m.Meter))
            )
        return ModeledYear(
            found.made_at.date(), self._worth.is_out_of_date(), found.weather, found.range_basis, months
        )


def months_of(year: YearSummary, meter: m.Meter, unit_kwh: float) -> tuple[float, ...]:
    """All uses of the meter's fuel by month, in units of `unit_kwh`."""
    uses = [use for use in year.uses if use.fuel == FUELS[meter.fuel]]
    return tuple(sum(use.kwh[month] for use in uses) / unit_kwh for month in range(12))
