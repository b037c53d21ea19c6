"""A changed fact of a kept answer as the owner reads it: the words of the form, the value with its unit."""

from __future__ import annotations

from datetime import datetime
from functools import cache

from pydantic import BaseModel

from retrofit_desk.estimate.fingerprint import TellFact
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.services.measure_inputs import fact_words, measured, part_of
from retrofit_desk.services.names import Names
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, show

AS_THEY_ARE = {"_j_k": "J/K", "_kg_kwh": "kg/kWh"}
"""Units that no form asks for: shown as kept."""
SAID_BY_NAMES = {
    *("zones", "surfaces", "windows", "openings", "glazings", "constructions", "layers"),
    *("machines", "arrays", "tariff", "charges", "inputs"),
}
"""Words of the model for what the names beside them tell already."""
ONE_OF = {
    "heating points": "heating point",
    "cooling points": "cooling point",
    "points": "point",
    "circuits": "circuit",
    "tiers": "tier",
    "films": "film",
    "gains": "gain",
    "fan coils without floor": "fan coil",
    "export": "power fed in",
    "avoided cents": "what would be spent anyway",
}
"""What stands in a list, one of it."""


def tell_in(units: Units, names: Names | None = None) -> TellFact:
    """How a fact is told in these units and by the record's names.

    ("zones, den, volume m3", "84.6") as ("Den, volume", "2,989 ft³").
    """
    known = names or Names()

    def tell(name: str, value: str) -> tuple[str, str]:
        *way, fact = name.removesuffix(", value").split(", ")
        key = fact.replace(" ", "_")
        words = ONE_OF.get(fact) or (
            _fact(key) if fact.islower() else fact
        )  # names that the owner gave stay as they are
        told = [*_way(way, known), words]
        if len(told) > 1 and words[1:2].islower():
            told[-1] = words[0].lower() + words[1:]
        told[0] = told[0][:1].upper() + told[0][1:]
        return ", ".join(told), known.known(_shown(key, value, units))

    return tell


def _way(parts: list[str], names: Names) -> list[str]:
    """The way to a fact: what only the model says is left out, a number goes with what it counts."""
    told: list[str] = []
    for part in parts:
        if part.isdecimal() and told:
            told[-1] = f"{told[-1]} {part}"
        elif part in names.by_key:
            told.append(names.by_key[part])
        elif part not in SAID_BY_NAMES:
            told.append(ONE_OF.get(part, _inner(part)))
    return told


def _inner(part: str) -> str:
    """A part of the way that is itself a quantity, without its unit."""
    key = part.replace(" ", "_")
    if part.islower() and (key.endswith("_cents") or measured(key)[0] is not Dimension.PLAIN):
        words = _fact(key)
        return words[0].lower() + words[1:]
    return part


def _fact(key: str) -> str:
    stem = next((key.removesuffix(end) for end in AS_THEY_ARE if key.endswith(end)), key)
    return _titles().get(key) or fact_words(stem, None)


def _shown(key: str, value: str, units: Units) -> str:
    if value in ("True", "False"):
        return "yes" if value == "True" else "no"
    try:
        number = float(value)
    except ValueError:
        return _day(value) or value.replace("_", " ")
    if key.endswith("_cents"):
        return cents_text(round(number))
    for ending, unit in AS_THEY_ARE.items():
        if key.endswith(ending):
            return f"{value} {unit}"
    dimension, factor = measured(key)
    if dimension is Dimension.PLAIN:
        return value
    if key == "volume_m3":  # of a room
        dimension = Dimension.VOLUME
    return show(number * factor, dimension, units)


def _day(value: str) -> str:
    """A day, or a moment as the record keeps it, in words; empty where it is none."""
    try:
        at = datetime.fromisoformat(value)
    except ValueError:
        return ""
    return (
        day_text(at.date()) if len(value) == len("2026-11-25") else f"{day_text(at.date())}, {at:%H:%M} UTC"
    )


@cache
def _titles() -> dict[str, str]:
    """The words of every fact of every kind of measure, by the name of the fact."""
    found: dict[str, str] = {}
    ahead: list[type[BaseModel]] = [kind.inputs for kind in kinds().values()]
    while ahead:
        for name, info in ahead.pop().model_fields.items():
            found.setdefault(name, fact_words(name, info))
            inner = part_of(info.annotation)
            if inner is not None:
                ahead.append(inner)
    return found
