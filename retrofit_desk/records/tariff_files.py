"""A tariff as a dated TOML file, checked entry by entry and turned into the value the bills are made from."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError

from retrofit_desk.money.tariff import (
    ALL_HOURS,
    ALL_MONTHS,
    ALL_WEEKDAYS,
    DemandCharge,
    EnergyCharge,
    ExportKind,
    ExportRule,
    Tariff,
    Tier,
    Window,
)
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.origin import Origin


class TariffDamaged(DeskError):
    """A tariff file cannot be read as it stands."""


def _exact(value: object) -> object:
    """Prices are written in quotes ("0.1034") or as TOML numbers, which mean what they print."""
    return Decimal(str(value)) if isinstance(value, (int, float)) else value


Exact = Annotated[Decimal, BeforeValidator(_exact)]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Tier(_Entry):
    price: Exact
    up_to: Exact | None = None


class _Windowed(_Entry):
    name: str
    months: tuple[int, ...] = ALL_MONTHS
    weekdays: tuple[int, ...] = ALL_WEEKDAYS
    hours: tuple[int, ...] = ALL_HOURS

    @property
    def window(self) -> Window:
        return Window(self.months, self.weekdays, self.hours)


class _Charge(_Windowed):
    tiers: tuple[_Tier, ...]
    limits_per_day: bool = False
    on_all_imports: bool = False

    def value(self) -> EnergyCharge:
        tiers = tuple(Tier(tier.price, tier.up_to) for tier in self.tiers)
        return EnergyCharge(self.name, tiers, self.window, self.limits_per_day, self.on_all_imports)


class _Demand(_Windowed):
    price: Exact
    interval_minutes: int = 60
    earlier_peak_share: Exact = Decimal(0)


class _Export(_Entry):
    kind: ExportKind
    credits: tuple[_Charge, ...] = ()
    rolls_over: bool = False
    year_end_price: Exact = Decimal(0)


class _TariffFile(_Entry):
    key: str
    name: str
    unit: str
    starts_on: date
    fixed_per_month: Exact
    fixed_per_day: Exact = Decimal(0)
    minimum_bill: Exact = Decimal(0)
    tax_share: Exact = Decimal(0)
    closing_fee: Exact | None = None
    closing_notice_days: int | None = None
    charges: tuple[_Charge, ...]
    demand: tuple[_Demand, ...] = ()
    export: _Export = _Export(kind=ExportKind.NONE)
    source: str
    edition: str
    checked_on: date
    confidence: str


def read_tariff(path: Path) -> Tariff:
    """The tariff in a file. Raises `TariffDamaged` with the entry that is wrong."""
    try:
        entry = _TariffFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise TariffDamaged(f"cannot be read: {error}", where=path.name) from error
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        raise TariffDamaged(f"{key}: {first['msg']}", where=path.name, do="correct this entry") from error
    return Tariff(
        key=entry.key,
        name=entry.name,
        unit=entry.unit,
        fixed_per_month=entry.fixed_per_month,
        charges=tuple(charge.value() for charge in entry.charges),
        demand=tuple(
            DemandCharge(one.name, one.price, one.window, one.interval_minutes, one.earlier_peak_share)
            for one in entry.demand
        ),
        fixed_per_day=entry.fixed_per_day,
        minimum_bill=entry.minimum_bill,
        tax_share=entry.tax_share,
        export=ExportRule(
            entry.export.kind,
            tuple(credit.value() for credit in entry.export.credits),
            entry.export.rolls_over,
            entry.export.year_end_price,
        ),
        closing_fee=entry.closing_fee,
        closing_notice_days=entry.closing_notice_days,
        starts_on=entry.starts_on,
        origin=Origin(entry.source, entry.edition, entry.checked_on, entry.confidence),
    )
