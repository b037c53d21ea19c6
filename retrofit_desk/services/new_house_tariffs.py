"""A first price for each meter of a new house: the average of its own bills, else of its state."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from retrofit_desk.money.energy_prices import EnergyPrice
from retrofit_desk.records.models import Fuel
from retrofit_desk.records.tables import Tables
from retrofit_desk.values.errors import CannotSay

WHOLE_COUNTRY = "US"
PRICE_ROWS = {Fuel.ELECTRICITY: "electricity", Fuel.GAS: "natural_gas"}
THERMS_PER_MCF = 10.26  # 40 CFR 98, table C-1: 0.1026 MMBtu a hundred cubic feet (second-hand)


@dataclass(frozen=True)
class AveragePrice:
    """Dollars for a unit of the meter with all charges in it, and where that comes from."""

    dollars_per_unit: Decimal
    source: str
    edition: str
    confidence: str


def average_of_bills(quantity: float, cost_cents: int) -> AveragePrice:
    """What the owner's own year of bills comes to."""
    price = (Decimal(cost_cents) / 100 / Decimal(str(quantity))).quantize(Decimal("0.0001"))
    return AveragePrice(
        price, "The owner's year of bills, all charges in it", "", "medium: one year's average"
    )


def average_of_state(fuel: Fuel, state: str, tables: Tables) -> AveragePrice:
    """The newest average of the state, else of the whole country. Raises `CannotSay`."""
    rows = [one for one in tables.prices if one.fuel == PRICE_ROWS.get(fuel)]
    chosen = _newest(rows, state) or _newest(rows, WHOLE_COUNTRY)
    if chosen is None:
        raise CannotSay(f"the price of {fuel}", "a year's use and cost from your bills", where="Bills")
    price = Decimal(str(chosen.dollars_per_unit))
    if chosen.unit == "Mcf":
        price /= Decimal(str(THERMS_PER_MCF))
    place = f"{chosen.origin.source}, average of {chosen.place} {chosen.year}"
    return AveragePrice(
        price.quantize(Decimal("0.0001")), place, chosen.origin.edition, "low: not your own tariff"
    )


def write_tariff(folder: Path, key: str, name: str, unit: str, price: AveragePrice, today: date) -> None:
    """A tariff table of the project's own, which a real one may replace."""
    folder.mkdir(parents=True, exist_ok=True)
    lines = [
        f'key = "{key}"',
        f'name = "{name}"',
        f'unit = "{unit}"',
        f"starts_on = {today.isoformat()}",
        'fixed_per_month = "0"',
        f'source = "{price.source}"',
        f'edition = "{price.edition}"',
        f"checked_on = {today.isoformat()}",
        f'confidence = "{price.confidence}"',
        "",
        "[[charges]]",
        'name = "All charges, on average"',
        f'tiers = [{{ price = "{price.dollars_per_unit}" }}]',
        "",
    ]
    (folder / f"{key}.toml").write_text("\n".join(lines), encoding="utf-8")


def _newest(rows: list[EnergyPrice], place: str) -> EnergyPrice | None:
    here = [one for one in rows if one.place == place]
    return max(here, key=lambda one: one.year, default=None)
