"""Usual values taken where a house description states none, so that none is taken in silence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from retrofit_desk.physics.description import House
from retrofit_desk.physics.elements import Films, Part

NO_MATTER = {"schema_version", "look_ahead_h", "azimuth_deg"}


@dataclass(frozen=True)
class TakenValue:
    """A usual value (or "none") taken in `count` places; `*` in the key stands for each of a list."""

    key: str
    value: float | str
    count: int


def taken_values(house: House) -> tuple[TakenValue, ...]:
    """All of them, in the order of the description."""
    counts = Counter(_taken(house, ""))
    return tuple(TakenValue(key, value, count) for (key, value), count in counts.items())


def _taken(part: Part, path: str) -> Iterator[tuple[str, float | str]]:
    for name in type(part).model_fields:
        value, key = getattr(part, name), f"{path}{name}"
        if name in part.model_fields_set or _says_itself(value):
            yield from _within(value, key)
        elif isinstance(value, int | float) and not isinstance(value, bool) and name not in NO_MATTER:
            yield key, value
        elif name in ("gains", "thermostat") and not value:
            yield key, "none"
        elif isinstance(value, Part) and not isinstance(value, Films):
            yield from _taken(value, f"{key}.")


def _says_itself(value: object) -> bool:
    """Zeros are what nothing stated means: no fan heat, no pilot, no shade."""
    return isinstance(value, int | float) and value == 0


def _within(value: object, key: str) -> Iterator[tuple[str, float | str]]:
    if isinstance(value, Part):
        yield from _taken(value, f"{key}.")
    elif isinstance(value, tuple):
        for one in value:
            yield from _within(one, f"{key}.*")
