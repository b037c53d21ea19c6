"""Stores of heat and cold in the line-up, each against a battery of equal use."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import datetime

from pydantic import ValidationError
from sqlalchemy import select

from retrofit_desk import __version__
from retrofit_desk.estimate.fingerprint import fingerprint
from retrofit_desk.estimate.line_up import Chosen
from retrofit_desk.estimate.measure_carbon import material_carbon
from retrofit_desk.estimate.measures.base import MaterialUse
from retrofit_desk.estimate.measures.battery import HomeBattery
from retrofit_desk.estimate.savings import MaterialCarbon
from retrofit_desk.estimate.scenario import simulator_for
from retrofit_desk.estimate.storage_against_battery import AgainstBattery, Shift, against_battery
from retrofit_desk.physics.plant_description import Battery
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.table_rows import Lifetime
from retrofit_desk.records.tables import tables_of
from retrofit_desk.services.days import made_now
from retrofit_desk.services.kept_results import KeptResults
from retrofit_desk.services.worth import Progress, WorthService
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import Stated, StatedValue

__all__ = ["AgainstBattery", "Choice", "Shift", "StorageService", "StoreCompared", "StoresCompared"]

KIND = "storage"
STORES = "thermal_storage"
EVERYDAY_BATTERY = Battery(usable_kwh=10.0, power_w=5000.0)
"""Taken where the record has none; round trip as in the description of a battery."""


@dataclass(frozen=True)
class Choice:
    """What one of the two costs and how long it lasts. `cents_per_kwh`: of all that it moves in that time."""

    cost_cents: StatedValue[int]
    cost_source: str
    years: float
    years_low: float
    years_high: float
    years_source: str
    cents_per_kwh: float | None


@dataclass(frozen=True)
class StoreCompared:
    """One measure that stores, counted after all others of the line-up."""

    title: str
    found: AgainstBattery
    store: Choice
    battery: Choice
    store_made_kg: float | None
    """Carbon in its material; None: unknown."""
    battery_made_kg: float | None
    sun_comes_later: tuple[str, ...]
    """Modules that come after it in the line-up: in its own place it has no sun to store."""


@dataclass(frozen=True)
class StoresCompared:
    """All comparisons, kept until something changes."""

    fingerprint: str
    made_at: datetime
    stores: tuple[StoreCompared, ...]


class StorageService:
    """Compares, keeps, and says what was changed since."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._worth = WorthService(project)
        self._kept = KeptResults(project, KIND, StoresCompared)
        self._tables = tables_of(project)

    def has_stores(self) -> bool:
        """Whether a measure of the line-up stores heat or cold."""
        with self._project.session() as session:
            query = select(m.Measure.id).where(m.Measure.in_line_up, m.Measure.kind == STORES)
            return session.scalar(query) is not None

    def latest(self) -> StoresCompared | None:
        return self._kept.latest()

    def changed_since(self, units: Units = Units.US) -> tuple[str, ...]:
        """What was changed since the kept comparison, in words."""
        return self._kept.changed_since(lambda: self._worth.asked().parts, units)

    def compare(self, progress: Progress | None = None) -> StoresCompared:
        """Work it out and keep it. `progress` may raise to stop. Raises as `WorthService.savings`."""
        report = progress or (lambda share, doing: None)
        report(0.0, "reading the house")
        ask = self._worth.asked()
        simulator = simulator_for(ask.weather)
        line_up = ask.line_up(simulator)
        compared = []
        for bit, one in enumerate(line_up.chosen):
            if one.kind.key != STORES:
                continue
            report(0.2, f"{one.title} against a battery")
            without, whole = line_up.case(line_up.whole & ~(1 << bit)), line_up.case(line_up.whole)
            assert without is not None
            assert whole is not None
            found = against_battery(without, whole, self._battery(), simulator, ask.terms)
            made = material_carbon(one.kind.materials(without, one.inputs), self._tables)
            cost, later = ask.money[bit].cost_cents, line_up.chosen[bit + 1 :]
            compared.append(self._priced(one.title, found, cost, made, later))
        with self._project.session() as session:
            made_at = made_now(session)
        result = StoresCompared(fingerprint(ask.parts, __version__), made_at, tuple(compared))
        self._kept.keep(result, ask.parts)
        report(1.0, "done")
        return result

    def _battery(self) -> Battery:
        """The battery that the record knows, in the line-up or not; else an everyday one."""
        with self._project.session() as session:
            for measure in session.scalars(select(m.Measure).where(m.Measure.kind == "battery")):
                try:
                    return HomeBattery.model_validate(measure.inputs).battery()
                except ValidationError:
                    continue
        return EVERYDAY_BATTERY

    def _priced(
        self,
        title: str,
        found: AgainstBattery,
        cost_cents: StatedValue[int],
        vessel: MaterialCarbon,
        later: tuple[Chosen, ...],
    ) -> StoreCompared:
        price = _price_row()
        cents = round(float(price["cents"]) * found.battery_kwh) if found.battery else None
        guess = StatedValue.of(cents, Stated.KNOWN)
        source = f"{price['name'].lower()}, {price['source']}, {price['confidence']}"
        shifted = found.battery.shifted_kwh if found.battery else 0.0
        made = material_carbon((MaterialUse("battery", "battery", found.battery_kwh, "kWh"),), self._tables)
        return StoreCompared(
            title,
            found,
            _choice(cost_cents, "as recorded", self._tables.lifetime("water_store"), found.store.shifted_kwh),
            _choice(guess, source, self._tables.lifetime("battery"), shifted),
            _made(vessel),
            _made(made),
            tuple(one.title for one in later if one.kind.key == "photovoltaics")
            if found.charges_by_sun
            else (),
        )


def _made(carbon: MaterialCarbon) -> float | None:
    return None if carbon.unknown or not carbon.made_kg else carbon.made_kg


def _choice(cost: StatedValue[int], source: str, life: Lifetime, shifted_kwh: float) -> Choice:
    per_kwh = None
    if cost.value is not None and shifted_kwh > 0:
        per_kwh = cost.value / (life.years * shifted_kwh)
    return Choice(cost, source, life.years, life.years_low, life.years_high, life.origin.line, per_kwh)


def _price_row() -> dict[str, str]:
    with (shipped_folder("shared") / "storage_prices.csv").open(encoding="utf-8", newline="") as table:
        return next(row for row in csv.DictReader(table) if row["key"] == "battery")
