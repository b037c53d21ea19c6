"""A changed fact of a kept answer as the owner reads it: the words of the form, the value with its unit."""

from __future__ import annotations

from functools import cache

from pydantic import BaseModel

from retrofit_desk.estimate.fingerprint import TellFact
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.services.measure_inputs import fact_words, measured, part_of
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.quantity import Dimension, Units, show

AS_THEY_ARE = {"_j_k": "J/K", "_kg_kwh": "kg/kWh"}
"""Units that no form asks for: shown as kept."""


def tell_in(units: Units) -> TellFact:
    """How a fact is told in these units: ("cost cents, value", "300000") as ("Cost", "$3,000.00")."""

    def tell(name: str, value: str) -> tuple[str, str]:
        way = name.removesuffix(", value").split(", ")
        key = way[-1].replace(" ", "_")
        stem = next((key.removesuffix(end) for end in AS_THEY_ARE if key.endswith(end)), key)
        words = _titles().get(key) or fact_words(stem, None)
        if way[-1].islower():  # a fact; names that the owner gave stay as they are
            starts_small = len(way) > 1 and words[1:2].islower()
            way[-1] = words[0].lower() + words[1:] if starts_small else words
        return ", ".join(way), _shown(key, value, units)

    return tell


def _shown(key: str, value: str, units: Units) -> str:
    if value in ("True", "False"):
        return "yes" if value == "True" else "no"
    try:
        number = float(value)
    except ValueError:
        return value.replace("_", " ")
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
