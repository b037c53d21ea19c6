"""What a tariff is: charges by tier, season, clock hour and peak, and what fed-in power earns."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise

from retrofit_desk.values.origin import Origin

ALL_MONTHS = tuple(range(1, 13))
ALL_WEEKDAYS = tuple(range(7))
ALL_HOURS = tuple(range(24))


class ExportKind(StrEnum):
    """What happens to power fed into the grid."""

    NONE = "not paid"
    NET_METERING = "net metering"
    """Taken off the metered use within the month."""
    NET_BILLING = "net billing"
    """Paid at its own price; what is drawn is billed in full."""


@dataclass(frozen=True)
class Window:
    """Months 1-12, weekdays 0 = Monday, clock hours 0-23 (hour h runs from h to h + 1)."""

    months: tuple[int, ...] = ALL_MONTHS
    weekdays: tuple[int, ...] = ALL_WEEKDAYS
    hours: tuple[int, ...] = ALL_HOURS

    @property
    def is_whole_day(self) -> bool:
        return len(self.hours) == 24 and len(self.weekdays) == 7


@dataclass(frozen=True)
class Tier:
    """A price for the units up to `up_to`; the last tier has none. A negative price is a credit."""

    price: Decimal  # dollars per unit
    up_to: Decimal | None = None


@dataclass(frozen=True)
class EnergyCharge:
    """A price per unit of the energy used within a window; tiers count that energy alone.

    `limits_per_day`: tier limits are units per day of the billing period (a baseline).
    `on_all_imports`: asked on everything drawn, whatever net metering takes off.
    """

    name: str
    tiers: tuple[Tier, ...]
    window: Window = Window()
    limits_per_day: bool = False
    on_all_imports: bool = False

    def __post_init__(self) -> None:
        limits = [tier.up_to for tier in self.tiers[:-1]]
        known = [limit for limit in limits if limit is not None]
        rising = all(a < b for a, b in pairwise(known))
        if not self.tiers or len(known) != len(limits) or not rising or self.tiers[-1].up_to is not None:
            raise ValueError(f"{self.name}: tiers need rising limits and an open end")


@dataclass(frozen=True)
class DemandCharge:
    """A price per kW of the highest draw within a window, and never less than a share of earlier peaks.

    Sums from hourly power see the hour's mean; with `interval_minutes` below 60 the billed peak is likely
    higher.
    """

    name: str
    price: Decimal  # dollars per kW
    window: Window = Window()
    interval_minutes: int = 60
    earlier_peak_share: Decimal = Decimal(0)


@dataclass(frozen=True)
class ExportRule:
    """How fed-in power counts. `credits`: prices of net billing. `rolls_over`: surplus units of net metering
    move to the next month; what is left after December is paid at `year_end_price`."""

    kind: ExportKind = ExportKind.NONE
    credits: tuple[EnergyCharge, ...] = ()
    rolls_over: bool = False
    year_end_price: Decimal = Decimal(0)


@dataclass(frozen=True)
class Tariff:
    """A dated price list of one utility account. Prices in dollars per `unit` (kWh, therm, gal)."""

    key: str
    name: str
    unit: str
    fixed_per_month: Decimal
    charges: tuple[EnergyCharge, ...]
    demand: tuple[DemandCharge, ...] = ()
    fixed_per_day: Decimal = Decimal(0)
    minimum_bill: Decimal = Decimal(0)
    tax_share: Decimal = Decimal(0)
    export: ExportRule = ExportRule()
    closing_fee: Decimal | None = None
    """Asked once when the account is closed; none: not known."""
    closing_notice_days: int | None = None
    starts_on: date | None = None
    origin: Origin | None = None

    @property
    def needs_hours(self) -> bool:
        """Whether a bill can only be told from hourly use."""
        windows = [charge.window for charge in (*self.charges, *self.export.credits)]
        return bool(self.demand) or any(not window.is_whole_day for window in windows)
