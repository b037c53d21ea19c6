"""A measure of any kind with the owner's own figures; it stands in sets and sums like the others."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from pydantic import Field, model_validator

from retrofit_desk.estimate import case as c
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.estimate.measures.reason import wrong_fact
from retrofit_desk.physics.elements import Fraction
from retrofit_desk.physics.plant_machines import BurnedFuel, Fuel

DAYS_OF_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
YEAR = "spread over the months by their days; or give the months"
MONTHS = "twelve numbers from January, or none"
Months = Annotated[tuple[float, ...], Field(max_length=12)]


class OwnFigures(Inputs):
    """Saved is positive; a measure that uses more has a negative figure."""

    electricity_saved_kwh: float = Field(0.0, title="Electricity saved a year", description=YEAR)
    electricity_saved_by_month_kwh: Months = Field(
        (), title="Electricity saved by month, kWh", description=MONTHS
    )
    fuel: BurnedFuel = Field("gas", description="that the next two figures speak of")
    fuel_saved_kwh: float = Field(0.0, title="Fuel saved a year", description=YEAR)
    fuel_saved_by_month_kwh: Months = Field((), title="Fuel saved by month, kWh", description=MONTHS)
    money_saved_cents: float = Field(
        0.0, title="Money saved a year", description="beside what the bills show, such as upkeep"
    )
    likely_range_share: Fraction = Field(
        title="May lie off either way", description="from the tenth to the ninetieth percentile"
    )
    source: str = Field(min_length=1, description="where the figures come from")

    @model_validator(mode="after")
    def _one_way(self) -> OwnFigures:
        for name in ("electricity_saved", "fuel_saved"):
            months = getattr(self, f"{name}_by_month_kwh")
            if months and len(months) != 12:
                raise wrong_fact((f"{name}_by_month_kwh",), f"twelve months are asked for, not {len(months)}")
            if months and getattr(self, f"{name}_kwh"):
                raise wrong_fact((f"{name}_kwh",), "give the year or the months, not both")
        return self

    def figures(self) -> c.OwnFigures:
        of_fuels: tuple[tuple[Fuel, tuple[float, ...]], ...] = (
            ("electricity", self.electricity_saved_by_month_kwh or _even(self.electricity_saved_kwh)),
            (self.fuel, self.fuel_saved_by_month_kwh or _even(self.fuel_saved_kwh)),
        )
        kwh = tuple((fuel, months) for fuel, months in of_fuels if any(months))
        return c.OwnFigures(kwh, self.money_saved_cents, self.likely_range_share)


def _even(year: float) -> tuple[float, ...]:
    return tuple(year * days / sum(DAYS_OF_MONTH) for days in DAYS_OF_MONTH)


def apply(case: c.HouseCase, inputs: OwnFigures) -> c.HouseCase:
    return replace(case, own_figures=(*case.own_figures, inputs.figures()))


def beside(case: c.HouseCase, inputs: OwnFigures) -> tuple[str, ...]:
    return (f"The owner's own figure, not worked out by the model. Source: {inputs.source}.",)


KIND = MeasureKind(
    "own_figures",
    "The owner's own figure",
    OwnFigures,
    95,
    apply,
    unweighed("material of the owner's own figure"),
    beside=beside,
)
