"""Which tariff bills a meter, and since when; the owner's own file is checked and kept beside the record."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select

from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_of
from retrofit_desk.records.tariff_files import read_tariff
from retrofit_desk.services.days import today_of
from retrofit_desk.services.fuel_rows import fuel_factor
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

INVENTED = "invented"
KEY = re.compile(r"[a-z0-9][a-z0-9-]*")


class TariffUnclear(DeskError):
    """A tariff that cannot be chosen for a meter."""


@dataclass(frozen=True)
class TariffOffer:
    key: str
    name: str


@dataclass(frozen=True)
class MeterTariffs:
    """The tariffs a meter can have; `now`: key of the one that bills it, empty where none does."""

    meter_id: int
    meter: str
    now: str
    today: date
    offers: tuple[TariffOffer, ...]


@dataclass(frozen=True)
class WrittenTariff:
    """`file`: a tariff of the owner's own, in place of `key`. `source`: the bill or letter that tells it."""

    key: str
    starts_on: date
    source: str = ""
    file: Path | None = None


class TariffEntryService:
    """A choice is one undo step. A file taken in stays in the project's folder; nothing has to use it."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def of_meter(self, meter_id: int) -> MeterTariffs | None:
        """What the form offers. One invented for a sample house is offered in that house alone."""
        tables = tables_of(self._project)
        with self._project.session() as session:
            meter = session.get(m.Meter, meter_id)
            if meter is None:
                return None
            chosen = set(session.scalars(select(m.TariffChoice.tariff_key)))
            here = {_invented_for(one) for one in tables.tariffs if one.key in chosen}
            offers = tuple(
                TariffOffer(one.key, one.name)
                for one in tables.tariffs
                if _fits(one, meter, tables) and _invented_for(one) in {"", *here}
            )
            now = meter.tariffs[-1].tariff_key if meter.tariffs else ""
            return MeterTariffs(meter.id, meter.name, now, today_of(session), offers)

    def choose(self, meter_id: int, written: WrittenTariff) -> str:
        """Returns a line for the owner. Raises `TariffUnclear`, `TariffDamaged`; then no file was kept."""
        tables = tables_of(self._project)
        tariff = _own(written.file) if written.file is not None else _known(tables, written.key)
        with self._project.action("Choose a tariff") as work:
            meter = work.session.get(m.Meter, meter_id)
            if meter is None:
                raise TariffUnclear("this meter is no longer recorded", do="look at the list again")
            if not _fits(tariff, meter, tables):
                raise TariffUnclear(
                    f"{tariff.name} counts by the {tariff.unit}, {meter.name} does not", do="choose another"
                )
            if written.starts_on > today_of(work.session):
                raise TariffUnclear(
                    f"it begins only {day_text(written.starts_on)}",
                    where="Since",
                    do="choose it once it applies; to try it, choose today and undo",
                )
            if written.file is not None:
                self._keep(written.file, tariff, tables)
            _put(meter, tariff, written)
        return f"{tariff.name} bills {meter.name} since {day_text(written.starts_on)}. Undo takes it back."

    def _keep(self, path: Path, tariff: Tariff, tables: Tables) -> None:
        """Copy a file to the project's own tables, in the place of no other."""
        kept = self._project.own_tables / "tariffs" / f"{tariff.key}.toml"
        if kept.is_file() and kept.read_bytes() == path.read_bytes():
            return
        if tariff.key in {one.key for one in tables.tariffs}:
            raise TariffUnclear(
                f"a tariff “{tariff.key}” is known already, and bills of its days are told by it",
                where=path.name,
                do="give the new one a key of its own, such as its name and year",
            )
        kept.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, kept)


def _known(tables: Tables, key: str) -> Tariff:
    try:
        return tables.tariff(key)
    except NotInTable:
        raise TariffUnclear(
            "no tariff is chosen", where="Tariff", do="choose one, or name its file"
        ) from None


def _own(path: Path) -> Tariff:
    tariff = read_tariff(path)
    if not KEY.fullmatch(tariff.key):
        raise TariffUnclear(
            f"the key “{tariff.key}” is not of small letters, digits and -", where=path.name, do="change it"
        )
    return tariff


def _put(meter: m.Meter, tariff: Tariff, written: WrittenTariff) -> None:
    """In the place of the one that begins that day, else between its neighbors; a blank source is its own."""
    told = tariff.origin.source if tariff.origin is not None else ""
    source = written.source.strip() or told
    rows = sorted(meter.tariffs, key=lambda one: one.starts_on)
    same = next((one for one in rows if one.starts_on == written.starts_on), None)
    if same is not None:
        same.tariff_key, same.source = tariff.key, source
        return
    before = [one for one in rows if one.starts_on < written.starts_on]
    after = [one for one in rows if one.starts_on > written.starts_on]
    if before:
        before[-1].ends_on = written.starts_on
    meter.tariffs.append(
        m.TariffChoice(
            tariff_key=tariff.key,
            starts_on=written.starts_on,
            ends_on=after[0].starts_on if after else None,
            source=source,
        )
    )


def _fits(tariff: Tariff, meter: m.Meter, tables: Tables) -> bool:
    """Whether its unit is one that the meter's fuel is sold in."""
    fuel = FUELS[meter.fuel]
    if fuel == "electricity":
        return tariff.unit == m.EnergyUnit.KWH
    return fuel_factor(tables, fuel, tariff.unit) is not None


def _invented_for(tariff: Tariff) -> str:
    """The sample house it was made up for; empty for a real one."""
    confidence = tariff.origin.confidence if tariff.origin is not None else ""
    return confidence if confidence.startswith(INVENTED) else ""
