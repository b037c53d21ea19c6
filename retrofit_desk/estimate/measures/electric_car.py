"""An electric car charged at home: power is added to the house's bill, gasoline is saved outside of it."""

from dataclasses import replace

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import Positive
from retrofit_desk.physics.plant_description import CarCharger
from retrofit_desk.values.quantity import Dimension, Units, show_about

GALLON_L = 3.785411784
GASOLINE_CO2_KG_GAL = 0.125 * 70.22
"""40 CFR 98 Subpart C, table C-1, motor gasoline: 0.125 mmBtu/gal and 70.22 kg CO2/mmBtu (from memory)."""


class ElectricCar(Inputs):
    car_km_per_year: Positive = Field(title="Driven in a year", description="driven on power from home")
    kwh_per_km: Positive = Field(
        title="Power by the mile", description="from the wall, charging losses in: the label's figure"
    )
    charger_w: Positive
    hours: tuple[int, ...] = Field(min_length=1, description="in which it may charge, 0 is midnight to one")
    kwh_source: str = Field("", title="Where that comes from", description="label, own record")
    old_car_km_per_l: Positive | None = Field(None, title="The old car goes", description="None: not told")
    gasoline_cents_per_l: Positive | None = Field(None, title="Gasoline costs", description="None: not told")


def apply(case: HouseCase, inputs: ElectricCar) -> HouseCase:
    charger = CarCharger(kwh_per_km=inputs.kwh_per_km, charger_w=inputs.charger_w, hours=inputs.hours)
    use = changed(case.use, car_km_per_year=inputs.car_km_per_year)
    return replace(case.with_plant(car=charger), use=use)


def beside(case: HouseCase, inputs: ElectricCar) -> tuple[str, ...]:
    """What the tank of the old car no longer takes; no part of the house's sums."""
    source = inputs.kwh_source or "not stated"
    basis = f"Power by the mile from: {source}."
    if inputs.old_car_km_per_l is None:
        return ("Gasoline saved: not stated, needs what the old car takes. " + basis,)
    gallons = inputs.car_km_per_year / inputs.old_car_km_per_l / GALLON_L
    carbon = " or ".join(show_about(gallons * GASOLINE_CO2_KG_GAL, Dimension.MASS, one) for one in Units)
    carbon += " of CO2"
    cost = ""
    if inputs.gasoline_cents_per_l is not None:
        cost = f", ${gallons * GALLON_L * inputs.gasoline_cents_per_l / 100:,.0f}"
    return (
        f"Outside the house's bills and not in its sums: {gallons:,.0f} gal of gasoline a year{cost} and "
        f"{carbon} from the tailpipe. {basis}",
    )


KIND = MeasureKind(
    "electric_car",
    "Electric car charged at home",
    ElectricCar,
    58,
    apply,
    unweighed("charger"),
    beside=beside,
)
