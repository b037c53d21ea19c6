"""Line-ups on the small house, in the weather that ships with the program."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache

from retrofit_desk.carbon.grid import GridPath
from retrofit_desk.estimate.belief import priors
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.line_up import Chosen, LineUp
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.scenario import FuelTerms, Simulator, Terms
from retrofit_desk.estimate.work_out import MeasureMoney, Question
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.money.tariff import EnergyCharge, Tariff, Tier
from retrofit_desk.records.tables import Tables
from retrofit_desk.values.origin import Origin
from retrofit_desk.values.stated import Stated, StatedValue
from tests.estimate.builders import a_case
from tests.estimate.measure_inputs import INPUTS

TODAY = date(2026, 11, 25)
THERM_KWH = 29.3
GAS_FIXED_CENTS = 1500
ALL_ELECTRIC = ("heat_pump_water_heater", "induction_range", "ground_source_heat_pump")


@cache
def a_simulator() -> Simulator:
    """One for all tests: equal houses run once."""
    return Simulator(greensboro())


def chosen(*keys: str, **changes: object) -> tuple[Chosen, ...]:
    """One measure of each kind in this order; `changes` go into the facts of all."""
    made = []
    for key in keys:
        kind = kinds()[key]
        made.append(Chosen(key, kind.title, kind, kind.inputs.model_validate(INPUTS[key] | changes)))
    return tuple(made)


def a_tariff(name: str, unit: str, price: str, fixed: str) -> Tariff:
    charge = EnergyCharge("energy", (Tier(Decimal(price)),))
    origin = Origin("invented", "1", TODAY, "invented")
    return Tariff(name, name, unit, Decimal(fixed), (charge,), origin=origin)


def terms(gas_price: str = "1.20", grid: float = 0.3) -> Terms:
    gas = a_tariff("gas", "therm", gas_price, "15")
    power = a_tariff("power", "kWh", "0.14", "12")
    return Terms(
        (FuelTerms("gas", gas, THERM_KWH, 0.18), FuelTerms("electricity", power, 1.0, 0.0)),
        GridPath(grid, 0.03),
    )


def a_line_up(*keys: str, of: HouseCase | None = None, at: Terms | None = None) -> LineUp:
    return LineUp(of or a_case(), chosen(*keys), a_simulator(), at or terms())


def costs(cents: int | None = 200_000) -> MeasureMoney:
    cost = StatedValue(cents) if cents is not None else StatedValue(None, Stated.NOT_STATED)
    return MeasureMoney(cost, StatedValue(0), 0)


def a_question(*keys: str, money: tuple[MeasureMoney, ...] | None = None) -> Question:
    return Question(
        described=a_case(),
        belief=priors("no bills are recorded"),
        chosen=chosen(*keys),
        terms=terms(),
        money=money or tuple(costs() for _ in keys),
        tables=Tables(),
        fingerprint="f",
        made_at=datetime(2026, 11, 25, 12, tzinfo=UTC),
        sources=(),
    )
