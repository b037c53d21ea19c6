"""What a kind of measure is: its facts, the change it makes, what it is made of, what it needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Self, TypeVar

from pydantic import model_validator

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fabric import Volume
from retrofit_desk.estimate.measures.reason import check_within_reason
from retrofit_desk.physics.description import Window
from retrofit_desk.physics.elements import Part
from retrofit_desk.physics.plant_machines import Fuel


class Inputs(Part):
    """The facts of one measure, in SI, as kept in its record."""

    @model_validator(mode="after")
    def _within_reason(self) -> Self:
        check_within_reason(self)
        return self


STOPS_TITLE = "Leakage at 50 Pa that it stops"

I = TypeVar("I", bound=Inputs)  # noqa: E741


@dataclass(frozen=True)
class MaterialUse:
    """An amount of one material that a measure puts in, in the unit of its carbon table row.

    An empty `carbon_key` means its carbon is unknown. `volume_m3` is told where it may store carbon.
    """

    name: str
    carbon_key: str
    amount: float
    unit: str = "kg"
    mass_kg: float = 0.0
    volume_m3: float = 0.0

    @classmethod
    def of(cls, volume: Volume) -> MaterialUse:
        mass_kg = volume.mass_kg
        return cls(
            volume.material.material_name,
            volume.material.material_key,
            mass_kg,
            mass_kg=mass_kg,
            volume_m3=volume.volume_m3,
        )


@dataclass(frozen=True)
class RefrigerantCharge:
    """Refrigerant that a measure brings into the house, by its ASHRAE 34 designation.

    `machine` is the row of the table of leakage: split, packaged, water_heater.
    """

    refrigerant: str
    charge_kg: float
    machine: str


def window_materials(windows: tuple[Window, ...], panes: int) -> tuple[MaterialUse, ...]:
    """The windows as bought, by area; single glass and more than three panes have no row of their own."""
    area_m2 = sum(window.area_m2 for window in windows)
    row = {2: "window_double", 3: "window_triple"}.get(panes, "")
    return (MaterialUse("windows", row, area_m2, "m2"),)


def no_materials(case: HouseCase, inputs: Inputs) -> tuple[MaterialUse, ...]:
    """For measures that put nothing in."""
    return ()


def unweighed(name: str) -> Callable[[HouseCase, Inputs], tuple[MaterialUse, ...]]:
    """For a thing that is put in and whose mass nobody states: its carbon is unknown, not zero."""

    def materials(case: HouseCase, inputs: Inputs) -> tuple[MaterialUse, ...]:
        return (MaterialUse(name, "", 0.0),)

    return materials


def no_refrigerant(inputs: Inputs) -> RefrigerantCharge | None:
    return None


def nothing_beside(case: HouseCase, inputs: Inputs) -> tuple[str, ...]:
    """For measures whose whole effect stands in the house's bills."""
    return ()


@dataclass(frozen=True)
class MeasureKind(Generic[I]):
    """One kind of measure.

    `rank`: measures of a set are applied by rising rank, so that the order of choosing does not matter.
    `needs`: for each group, one kind of it must be in the set. `excludes`: kinds that cannot stand beside it;
    its own key among them: only one of its kind. `ends_fuel`: a fuel that nothing in the house may use any
    more. `beside`: in sentences, what it does that no bill of the house shows.
    """

    key: str
    title: str
    inputs: type[I]
    rank: int
    apply: Callable[[HouseCase, I], HouseCase]
    materials: Callable[[HouseCase, I], tuple[MaterialUse, ...]] = no_materials
    refrigerant: Callable[[I], RefrigerantCharge | None] = no_refrigerant
    needs: tuple[frozenset[str], ...] = ()
    excludes: frozenset[str] = frozenset()
    ends_fuel: Fuel | None = None
    beside: Callable[[HouseCase, I], tuple[str, ...]] = nothing_beside


WATER_SOURCES = frozenset({"ground_source_heat_pump", "water_source_heat_pump", "air_to_water_heat_pump"})
"""Kinds that make water for floor loops and stores."""
ONE_HEAT_PUMP = WATER_SOURCES | {"air_source_heat_pump"}
"""Kinds that take over the heating of the house: one of them, and once."""
ONE_WATER_HEATER = frozenset({"heat_pump_water_heater", "indirect_water_tank"})
