"""The fingerprint of everything that went into a sum, and what changed since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.line_up import Chosen
from retrofit_desk.estimate.scenario import Terms


@dataclass(frozen=True)
class Part:
    """One part of the inputs: what it is called, and the hash of its content."""

    name: str
    digest: str


def parts_of(
    base: HouseCase, chosen: Sequence[Chosen], terms: Terms, weather_fingerprint: str, money: Sequence[object]
) -> tuple[Part, ...]:
    """Every input of a sum in parts that the owner knows by name. `money`: what each measure costs."""
    tariffs = [Part(f"the tariff {one.tariff.name}", _digest(repr(one))) for one in terms.fuels]
    costs = sorted((one.key, repr(cost)) for one, cost in zip(chosen, money, strict=True))
    measures = [Part(f"the measure {one.title}", _digest(one.inputs.model_dump_json())) for one in chosen]
    return (
        *parts_of_case(base, weather_fingerprint),
        Part("the carbon of the grid", _digest(repr(terms.grid))),
        *tariffs,
        *measures,
        Part("the order of the line-up", _digest(",".join(one.key for one in chosen))),
        Part("the list of costs and rebates", _digest(repr(costs))),
    )


def parts_of_case(base: HouseCase, weather_fingerprint: str) -> tuple[Part, ...]:
    """The house as it stands, and the weather it is run on."""
    return (
        Part("the described house", _digest(base.house.model_dump_json())),
        Part("the equipment", _digest(base.plant.model_dump_json())),
        Part("the family's use", _digest(base.use.model_dump_json())),
        Part("the weather", weather_fingerprint),
    )


def part(name: str, content: object) -> Part:
    """Any other input whose `repr` tells all of it."""
    return Part(name, _digest(repr(content)))


def fingerprint(parts: Sequence[Part], program_version: str) -> str:
    """One hash over all parts and the program's version."""
    return _digest(json.dumps([[part.name, part.digest] for part in parts]) + program_version)


def changed_since(before: Sequence[Part], now: Sequence[Part]) -> tuple[str, ...]:
    """What was changed, added or taken away, in the owner's words."""
    old, new = ({part.name: part.digest for part in parts} for parts in (before, now))
    changed = [f"{name} was changed" for name in new if name in old and old[name] != new[name]]
    added = [f"{name} was added" for name in new if name not in old]
    gone = [f"{name} was taken away" for name in old if name not in new]
    return tuple(changed + added + gone)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
