"""The fingerprint of everything that went into a sum, and what changed since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from pydantic_core import to_jsonable_python

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.line_up import Chosen
from retrofit_desk.estimate.scenario import Terms

TellFact: TypeAlias = "Callable[[str, str], tuple[str, str]]"
"""A fact by its name and its value as kept (SI), as (name, value) in the owner's words and units."""
MOST_TOLD = 3
"""So many changed facts of one part are told one by one."""
LONGEST_ROW = 24
"""A longer row of plain values (a mask, a year of hours) is one fact."""


@dataclass(frozen=True)
class Part:
    """One part of the inputs: what it is called, the hash of its content, and its facts as (name, value)."""

    name: str
    digest: str
    facts: tuple[tuple[str, str], ...] = ()


def parts_of(
    base: HouseCase, chosen: Sequence[Chosen], terms: Terms, weather_fingerprint: str, money: Sequence[object]
) -> tuple[Part, ...]:
    """Every input of a sum in parts that the owner knows by name. `money`: what each measure costs."""
    costs = {one.title: cost for one, cost in zip(chosen, money, strict=True)}
    return (
        *parts_of_case(base, weather_fingerprint),
        part("the carbon of the grid", terms.grid),
        *(part("the hours of the grid", hours) for hours in (terms.grid_hours,) if hours is not None),
        *(part(f"the tariff {one.tariff.name}", one) for one in terms.fuels),
        *(part(f"the end of the account for {fuel}", fuel) for fuel in sorted(terms.ended)),
        *(part(f"the measure {one.title}", one.inputs) for one in chosen),
        Part(
            "the order of the line-up",
            _digest(",".join(one.key for one in chosen)),
            tuple((one.title, f"place {at}") for at, one in enumerate(chosen, start=1)),
        ),
        part("the list of costs and rebates", costs),
    )


def parts_of_case(base: HouseCase, weather_fingerprint: str) -> tuple[Part, ...]:
    """The house as it stands, and the weather it is run on."""
    return (
        part("the described house", base.house),
        part("the equipment", base.plant),
        part("the family's use", base.use),
        Part("the weather", weather_fingerprint),
    )


def part(name: str, content: object) -> Part:
    """Any input made of dataclasses, pydantic models and plain values."""
    plain = to_jsonable_python(content, fallback=repr)
    return Part(name, _digest(json.dumps(plain, sort_keys=True)), tuple(_facts(plain, "")))


def fingerprint(parts: Sequence[Part], program_version: str) -> str:
    """One hash over all parts and the program's version."""
    return _digest(json.dumps([[part.name, part.digest] for part in parts]) + program_version)


def changed_since(before: Sequence[Part], now: Sequence[Part], tell: TellFact) -> tuple[str, ...]:
    """What was changed, added or taken away, in the owner's words: which fact, from what to what."""
    old, new = ({part.name: part for part in parts} for parts in (before, now))
    changed = [
        f"{name} was changed{_told(old[name], new[name], tell)}"
        for name in new
        if name in old and old[name].digest != new[name].digest
    ]
    added = [f"{name} was added" for name in new if name not in old]
    gone = [f"{name} was taken away" for name in old if name not in new]
    return tuple(changed + added + gone)


def _told(old: Part, new: Part, tell: TellFact) -> str:
    """` (zones, den, volume: from 1,060 ft³ to 1,090 ft³; and 2 more)`; empty where no facts are kept."""
    before, now = dict(old.facts), dict(new.facts)
    changes = []
    for name in {**before, **now}:
        was, is_now = before.get(name, "nothing"), now.get(name, "nothing")
        if was != is_now:
            words, was_shown = tell(name, was)
            now_shown = tell(name, is_now)[1]
            is_seen = was_shown != now_shown
            by = f"from {was_shown} to {now_shown}" if is_seen else f"a little, still about {now_shown}"
            changes.append(f"{words}: {by}")
    more = f"; and {len(changes) - MOST_TOLD} more" if len(changes) > MOST_TOLD else ""
    return f" ({'; '.join(changes[:MOST_TOLD])}{more})" if changes else ""


def _facts(plain: object, name: str) -> Iterator[tuple[str, str]]:
    """Every plain value by the way to it; things in a list go by their own names."""
    if isinstance(plain, dict):
        for key, value in plain.items():
            if not (key == "name" and name):  # told as the way to its other facts
                yield from _facts(value, f"{name}, {_word(key)}" if name else _word(key))
    elif isinstance(plain, list) and any(isinstance(one, dict | list) for one in plain):
        for at, one in enumerate(plain, start=1):
            called = one.get("name") if isinstance(one, dict) else None
            own = str(called or at)
            yield from _facts(one, f"{name}, {own}" if name else own)
    elif isinstance(plain, list):
        told = ", ".join(_value(one) for one in plain) or "nothing"
        yield name, told if len(plain) <= LONGEST_ROW else f"{len(plain)} values ({_digest(told)[:6]})"
    else:
        yield name, _value(plain)


def _word(key: object) -> str:
    return str(key).replace("_", " ")


def _value(plain: object) -> str:
    if plain is None:
        return "nothing"
    return f"{plain:.6g}" if isinstance(plain, float) else str(plain)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
