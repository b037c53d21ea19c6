"""The published reference tables that travel with the program, as typed rows with their source.

A project may hold its own `tables/` folder; a file there takes the place of the shipped one of the same name.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from retrofit_desk.carbon.fuels import FuelFactor
from retrofit_desk.carbon.gases import GasPotential, LeakShares, PotentialSet, Refrigerant
from retrofit_desk.carbon.grid import GridFactor
from retrofit_desk.carbon.materials import MaterialFactor
from retrofit_desk.money.energy_prices import EnergyPrice
from retrofit_desk.money.rounding import to_cents
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tariff_files import read_tariff
from retrofit_desk.rules.hazards import HazardKind
from retrofit_desk.rules.permits import InspectionRule, PermitTemplate
from retrofit_desk.rules.programme_file import Programme
from retrofit_desk.rules.quotes import DepositLimit, DepositRule
from retrofit_desk.rules.site_tests import TestKind
from retrofit_desk.rules.waivers import WaiverForm, WaiverKind
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.origin import Origin

T = TypeVar("T")


class TableDamaged(DeskError):
    """A reference table cannot be read as it stands."""


class NotInTable(DeskError):
    """A key that the table does not hold."""


@dataclass(frozen=True)
class LeakRow:
    """Leak shares of one kind of machine, with the spread of the yearly share."""

    kind: str
    shares: LeakShares
    yearly_low: float
    yearly_high: float
    life_years: float
    origin: Origin


@dataclass(frozen=True)
class Lifetime:
    """How long a kind of machine lasts, years; a default to be changed, never a fact about one machine."""

    key: str
    name: str
    years: float
    years_low: float
    years_high: float
    origin: Origin


@dataclass(frozen=True)
class HoldNeedTemplate:
    """One need of a hold template, in the words and kinds of `rules.holds`."""

    kind: str
    text: str
    paper_kind: str = ""
    inspection_kind: str = ""
    test_kind: str = ""
    count: int = 1


@dataclass(frozen=True)
class HoldTemplate:
    """A hold that a kind of work usually brings; `what` is filled in by the record."""

    key: str
    action: str
    subject: str
    what: str
    measures: tuple[str, ...]
    needs: tuple[HoldNeedTemplate, ...]
    because: str
    caution: str
    origin: Origin


@dataclass(frozen=True)
class _Row:
    """One row of a table, read strictly; errors name the file and the row."""

    place: str
    fields: dict[str, Any]

    def text(self, name: str) -> str:
        value = self.fields.get(name)
        if value is None:
            raise TableDamaged(f"has no '{name}'", where=self.place, do="compare it with the shipped table")
        return str(value)

    def maybe(self, name: str, otherwise: str = "") -> str:
        return str(self.fields.get(name, otherwise))

    def exact(self, name: str) -> Decimal:
        try:
            return Decimal(self.text(name))
        except InvalidOperation:
            raise TableDamaged(f"'{self.text(name)}' is no number", where=f"{self.place}, {name}") from None

    def number(self, name: str) -> float:
        return float(self.exact(name))

    def maybe_number(self, name: str) -> float | None:
        return None if self.fields.get(name) in (None, "") else self.number(name)

    def words(self, name: str) -> tuple[str, ...]:
        value = self.fields.get(name, ())
        return tuple(str(one) for one in value) if isinstance(value, list) else ()

    @property
    def origin(self) -> Origin:
        try:
            day = date.fromisoformat(self.text("date"))
        except ValueError:
            raise TableDamaged(f"'{self.text('date')}' is no date", where=self.place) from None
        return Origin(self.text("source"), self.maybe("edition"), day, self.text("confidence"))


class Tables:
    """All tables; each file is read once, when first asked for."""

    def __init__(self, own_folder: Path | None = None) -> None:
        shipped = shipped_folder("shared")
        self._folders = (own_folder, shipped) if own_folder and own_folder.is_dir() else (shipped,)

    @cached_property
    def fuels(self) -> tuple[FuelFactor, ...]:
        return tuple(
            FuelFactor(
                row.text("key"),
                row.text("name"),
                row.text("unit"),
                row.number("mmbtu_per_unit"),
                row.number("co2_kg_per_mmbtu"),
                row.number("ch4_kg_per_mmbtu"),
                row.number("n2o_kg_per_mmbtu"),
                row.text("is_biogenic") == "yes",
                row.origin,
            )
            for row in self._csv("fuels.csv")
        )

    def fuel(self, key: str) -> FuelFactor:
        return _named(self.fuels, "key", key, "fuels.csv")

    @cached_property
    def grid(self) -> tuple[GridFactor, ...]:
        return tuple(
            GridFactor(
                row.text("region"),
                row.text("name"),
                row.number("co2_lb_mwh"),
                row.number("ch4_lb_mwh"),
                row.number("n2o_lb_mwh"),
                row.origin,
            )
            for row in self._csv("grid_factors.csv")
        )

    def grid_region(self, region: str) -> GridFactor:
        return _named(self.grid, "region", region, "grid_factors.csv")

    def potentials(self, gwp_set: str = "AR5") -> PotentialSet:
        """The named set; raises `NotInTable` for another name."""
        rows = tuple(one for one in self._potentials if one.gwp_set == gwp_set)
        if not rows:
            raise NotInTable(f"no set of warming potentials '{gwp_set}'", where="gwp.csv")
        return PotentialSet(gwp_set, rows)

    @cached_property
    def _potentials(self) -> tuple[GasPotential, ...]:
        return tuple(
            GasPotential(row.text("gas"), row.text("gwp_set"), row.number("gwp100"), row.origin)
            for row in self._csv("gwp.csv")
        )

    @cached_property
    def refrigerants(self) -> tuple[Refrigerant, ...]:
        return tuple(
            Refrigerant(row.text("key"), row.text("name"), _parts(row), row.text("caution"), row.origin)
            for row in self._csv("refrigerants.csv")
        )

    def refrigerant(self, key: str) -> Refrigerant:
        return _named(self.refrigerants, "key", key, "refrigerants.csv")

    @cached_property
    def leakage(self) -> tuple[LeakRow, ...]:
        return tuple(
            LeakRow(
                row.text("kind"),
                LeakShares(row.number("installing"), row.number("yearly"), row.number("recovered")),
                row.number("yearly_low"),
                row.number("yearly_high"),
                row.number("life_years"),
                row.origin,
            )
            for row in self._csv("leakage.csv")
        )

    def leak_row(self, kind: str) -> LeakRow:
        return _named(self.leakage, "kind", kind, "leakage.csv")

    @cached_property
    def material_carbon(self) -> tuple[MaterialFactor, ...]:
        return tuple(
            MaterialFactor(
                row.text("key"),
                row.text("name"),
                row.text("unit"),
                row.maybe_number("density_low_kg_m3"),
                row.maybe_number("density_high_kg_m3"),
                row.number("kg_co2e"),
                row.number("kg_co2e_low"),
                row.number("kg_co2e_high"),
                row.maybe("note"),
                row.origin,
            )
            for row in self._csv("material_carbon.csv")
        )

    def material_factor(self, key: str) -> MaterialFactor:
        return _named(self.material_carbon, "key", key, "material_carbon.csv")

    @cached_property
    def prices(self) -> tuple[EnergyPrice, ...]:
        return tuple(
            EnergyPrice(
                row.text("fuel"),
                row.text("place"),
                int(row.text("year")),
                row.number("dollars_per_unit"),
                row.text("unit"),
                row.origin,
            )
            for row in self._csv("prices.csv")
        )

    @cached_property
    def lifetimes(self) -> tuple[Lifetime, ...]:
        return tuple(
            Lifetime(
                row.text("key"),
                row.text("name"),
                row.number("years"),
                row.number("years_low"),
                row.number("years_high"),
                row.origin,
            )
            for row in self._csv("lifetimes.csv")
        )

    def lifetime(self, key: str) -> Lifetime:
        return _named(self.lifetimes, "key", key, "lifetimes.csv")

    @cached_property
    def deposit_limits(self) -> tuple[DepositLimit, ...]:
        return tuple(
            DepositLimit(
                row.text("state"),
                DepositRule(row.text("kind")),
                row.exact("share"),
                to_cents(row.exact("flat_dollars")) if row.maybe("flat_dollars") else None,
                to_cents(row.exact("applies_above_dollars")) if row.maybe("applies_above_dollars") else None,
                row.text("text"),
                row.origin,
            )
            for row in self._csv("deposit_limits.csv")
        )

    @cached_property
    def waiver_forms(self) -> tuple[WaiverForm, ...]:
        return tuple(
            WaiverForm(
                row.text("state"),
                WaiverKind(row.text("kind")),
                row.text("name"),
                row.text("statute"),
                row.origin,
            )
            for row in self._csv("waiver_forms.csv")
        )

    @cached_property
    def tariffs(self) -> tuple[Tariff, ...]:
        return tuple(read_tariff(path) for path in self._files("tariffs", ".toml"))

    def tariff(self, key: str) -> Tariff:
        return _named(self.tariffs, "key", key, "tariffs")

    @cached_property
    def programmes(self) -> tuple[Programme, ...]:
        return tuple(_programme(path) for path in self._files("programmes", ".toml"))

    def programme(self, key: str) -> Programme:
        return _named(self.programmes, "key", key, "programmes")

    @cached_property
    def permit_templates(self) -> tuple[PermitTemplate, ...]:
        return tuple(_permit_template(row) for row in self._toml("permit_templates.toml", "permit"))

    @cached_property
    def hold_templates(self) -> tuple[HoldTemplate, ...]:
        return tuple(_hold_template(row) for row in self._toml("hold_templates.toml", "hold"))

    @cached_property
    def test_kinds(self) -> tuple[TestKind, ...]:
        return tuple(_test_kind(row) for row in self._toml("test_limits.toml", "test"))

    def test_kind(self, key: str) -> TestKind:
        return _named(self.test_kinds, "key", key, "test_limits.toml")

    @cached_property
    def hazards(self) -> tuple[HazardKind, ...]:
        return tuple(_hazard(row) for row in self._toml("hazards.toml", "hazard"))

    def _place(self, name: str) -> Path:
        return next((folder / name for folder in self._folders if (folder / name).exists()), Path(name))

    def _csv(self, name: str) -> Iterator[_Row]:
        with self._place(name).open(encoding="utf-8", newline="") as table:
            for row in (reader := csv.DictReader(table)):
                yield _Row(f"{name}, line {reader.line_num}", row)

    def _toml(self, name: str, table: str) -> Iterator[_Row]:
        for at, fields in enumerate(_toml_file(self._place(name)).get(table, []), 1):
            yield _Row(f"{name}, {table} {at}", fields)

    def _files(self, folder: str, ending: str) -> list[Path]:
        """Every file of a folder; the project's own ones take the place of shipped ones by name."""
        found: dict[str, Path] = {}
        for place in reversed(self._folders):
            found |= {path.name: path for path in (place / folder).glob(f"*{ending}")}
        return [found[name] for name in sorted(found)]


def _toml_file(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise TableDamaged(f"cannot be read: {error}", where=path.name) from error


def _programme(path: Path) -> Programme:
    from pydantic import ValidationError

    try:
        return Programme.model_validate(_toml_file(path))
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        raise TableDamaged(f"{key}: {first['msg']}", where=path.name, do="correct this entry") from error


def _parts(row: _Row) -> tuple[tuple[str, float], ...]:
    pairs = [part.split(":") for part in row.text("parts").split(";")]
    return tuple((gas, float(share)) for gas, share in pairs)


def _permit_template(row: _Row) -> PermitTemplate:
    visits = [_Row(row.place, one) for one in row.fields.get("inspection", [])]
    idle = row.maybe_number("idle_days")
    return PermitTemplate(
        row.text("key"),
        row.text("permit_kind"),
        row.text("title"),
        None if idle is None else int(idle),
        tuple(
            InspectionRule(
                one.text("kind"),
                one.text("title"),
                one.words("after"),
                bool(one.fields.get("before_covering", False)),
                bool(one.fields.get("is_final", False)),
                one.words("ready"),
            )
            for one in visits
        ),
        row.maybe("caution"),
        row.origin,
    )


def _hold_template(row: _Row) -> HoldTemplate:
    needs = [_Row(row.place, one) for one in row.fields.get("need", [])]
    return HoldTemplate(
        row.text("key"),
        row.text("action"),
        row.text("subject"),
        row.text("what"),
        row.words("measures"),
        tuple(
            HoldNeedTemplate(
                one.text("kind"),
                one.text("text"),
                one.maybe("paper_kind"),
                one.maybe("inspection_kind"),
                one.maybe("test_kind"),
                int(one.maybe("count", "1")),
            )
            for one in needs
        ),
        row.text("because"),
        row.maybe("caution"),
        row.origin,
    )


def _test_kind(row: _Row) -> TestKind:
    return TestKind(
        row.text("key"),
        row.text("name"),
        row.text("quantity"),
        row.text("unit"),
        row.maybe_number("low_limit"),
        row.maybe_number("high_limit"),
        row.maybe_number("times_design"),
        row.maybe_number("minutes"),
        row.maybe("medium"),
        row.maybe_number("must_hold_share"),
        row.words("asks_for"),
        row.maybe("caution"),
        row.origin,
    )


def _hazard(row: _Row) -> HazardKind:
    before = row.maybe_number("built_before")
    return HazardKind(
        row.text("key"),
        row.text("name"),
        None if before is None else int(before),
        row.words("measures"),
        row.text("where"),
        row.text("what_to_do"),
        row.text("caution"),
        bool(row.fields.get("stops_work", False)),
        row.origin,
    )


def _named(rows: tuple[T, ...], field: str, key: str, table: str) -> T:
    for row in rows:
        if getattr(row, field) == key:
            return row
    raise NotInTable(f"no '{key}'", where=table, do="add it to the table or choose another")
