"""A load manager: the car charges only with what the rest of the house leaves below a limit."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, changed
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.elements import Positive


class LoadManagement(Inputs):
    house_limit_w: Positive = Field(
        description="of the whole house; the circuits and the setting are for a licensed electrician"
    )


def apply(case: HouseCase, inputs: LoadManagement) -> HouseCase:
    car = case.plant.car
    if car is None:
        raise DoesNotFit("no car charges at home", do="add the car first")
    return case.with_plant(car=changed(car, house_limit_w=inputs.house_limit_w))


def beside(case: HouseCase, inputs: LoadManagement) -> tuple[str, ...]:
    return (
        "Saves money only where the tariff charges for peak demand; otherwise it may spare a larger service.",
    )


KIND = MeasureKind(
    "load_management",
    "Load management",
    LoadManagement,
    59,
    apply,
    unweighed("load manager"),
    needs=(frozenset({"electric_car"}),),
    beside=beside,
)
