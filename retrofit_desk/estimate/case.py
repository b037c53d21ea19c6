"""A house as it stands or would be: fabric, plant, what the family asks for, closed accounts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from retrofit_desk.physics.description import House
from retrofit_desk.physics.elements import Part
from retrofit_desk.physics.plant_description import HouseholdUse, IndirectTank, PlantDescription
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.errors import DeskError

P = TypeVar("P", bound=Part)


class DoesNotFit(DeskError):
    """A measure speaks of something that the described house does not have."""


@dataclass(frozen=True)
class OwnFigures:
    """What the owner says a measure saves: by fuel twelve months in kWh, and cents a year beside the bills.

    `off_share`: how far they may lie off, the tenth to the ninetieth percentile, as a share either way.
    """

    months_kwh: tuple[tuple[Fuel, tuple[float, ...]], ...]
    cents: float
    off_share: float


@dataclass(frozen=True)
class HouseCase:
    """All that one year depends on, but for weather and prices; the owner's own figures are no physics."""

    house: House
    plant: PlantDescription
    use: HouseholdUse
    closed_accounts: frozenset[Fuel] = frozenset()
    own_figures: tuple[OwnFigures, ...] = ()

    @property
    def own_cents_saved(self) -> float:
        """Money a year that the owner says is saved beside the bills."""
        return sum(one.cents for one in self.own_figures)

    def with_house(self, **changes: Any) -> HouseCase:
        return replace(self, house=changed(self.house, **changes))

    def with_plant(self, **changes: Any) -> HouseCase:
        """Raises `DoesNotFit` where the hot-water tank is left without what heats it."""
        plant = dict(self.plant) | changes
        tank = plant["water_heater"]
        if isinstance(tank, IndirectTank) and tank.heated_by not in {one.name for one in plant["heating"]}:
            raise DoesNotFit(
                "the hot-water tank is heated by the machine that is taken out",
                do="change the water heater as well, or keep the machine",
            )
        return replace(self, plant=changed(self.plant, **changes))


def changed(part: P, **changes: Any) -> P:
    """The part with some fields changed, checked again as a whole. Raises pydantic's `ValidationError`."""
    return type(part).model_validate(dict(part) | changes)


def change_named(
    parts: tuple[P, ...], names: tuple[str, ...], change: Callable[[P], P], what: str
) -> tuple[P, ...]:
    """Change the parts called so. Raises `DoesNotFit` if one is not there."""
    known = {part.name for part in parts}  # type: ignore[attr-defined]
    for name in names:
        if name not in known:
            raise DoesNotFit(
                f"the house has no {what} called '{name}'", do="describe it, or correct the measure"
            )
    return tuple(change(part) if part.name in names else part for part in parts)  # type: ignore[attr-defined]
