"""A house as it stands or would be: fabric, plant, what the family asks for, closed accounts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from retrofit_desk.physics.description import House
from retrofit_desk.physics.elements import Part
from retrofit_desk.physics.plant_description import HouseholdUse, PlantDescription
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.errors import DeskError

P = TypeVar("P", bound=Part)


class DoesNotFit(DeskError):
    """A measure speaks of something that the described house does not have."""


@dataclass(frozen=True)
class HouseCase:
    """All that one simulated year depends on, but for weather and prices."""

    house: House
    plant: PlantDescription
    use: HouseholdUse
    closed_accounts: frozenset[Fuel] = frozenset()

    def with_house(self, **changes: Any) -> HouseCase:
        return replace(self, house=changed(self.house, **changes))

    def with_plant(self, **changes: Any) -> HouseCase:
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
