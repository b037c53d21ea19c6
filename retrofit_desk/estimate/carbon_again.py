"""Carbon put in again (stage B4 of EN 15978): what wears out within the study and is bought once more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from retrofit_desk.estimate.later_money import Lasting, LaterMoney
from retrofit_desk.estimate.savings import SavingsLine, SavingsSum


@dataclass(frozen=True)
class CarbonAgain:
    """kg CO2e over the study, in no year and no payback; low and high by the longest and shortest lives.

    `unknown` names what is bought again and nobody weighed, and what lasts nobody knows how long.
    """

    kg: float
    low_kg: float
    high_kg: float
    unknown: tuple[str, ...]
    titles: tuple[str, ...]
    """Of the measures with a figure."""


def carbon_again(found: SavingsSum, later: Mapping[str, LaterMoney], years: int) -> CarbonAgain:
    """The measures' own parts by their lives; what would be bought without them is not set against it."""
    kg = low = high = 0.0
    unknown: list[str] = []
    titles: list[str] = []
    for line in found.lines:
        parts = later[line.key].own if line.key in later else ()
        again = _weighed_kg(line, [_times(one, years) for one in parts])
        kg += again
        low += _weighed_kg(line, [_times(_lasting(one, longest=True), years) for one in parts])
        high += _weighed_kg(line, [_times(_lasting(one, longest=False), years) for one in parts])
        unknown += _unweighed(line, parts, years)
        titles += [line.title] if again else []
    return CarbonAgain(kg, low, high, tuple(dict.fromkeys(unknown)), tuple(titles))


def _times(part: Lasting, years: int) -> int:
    return len(part.again(years))


def _lasting(part: Lasting, *, longest: bool) -> Lasting:
    if part.life is None:
        return part
    return part.lasting(part.life.high_years if longest else part.life.low_years)


def _weighed_kg(line: SavingsLine, times: list[int]) -> float:
    """All material as often as all parts are bought again; the gas as often as the first to wear out is.

    A machine that goes loses the rest of its charge, and the next one loses some at installing.
    """
    if not times:
        return 0.0
    gas = line.refrigerant
    lost = 0.0 if gas is None else gas.installing_kg_co2e + gas.at_end_kg_co2e
    return min(times) * line.material.upfront_kg + max(times) * lost


def _unweighed(line: SavingsLine, parts: tuple[Lasting, ...], years: int) -> list[str]:
    """By name: untold materials, a part that wears out before the others, gas, lives."""
    named = [f"how long {line.title} lasts" for one in parts if one.life is None and not one.is_once]
    times = [_times(one, years) for one in parts]
    if not any(times):
        return named
    if min(times):
        made_of = line.material.unknown or (() if line.material.upfront_kg else ("material",))
        named += [f"{name} ({line.title})" for name in made_of]
    named += [f"{one.name} ({line.title})" for one, n in zip(parts, times, strict=True) if n > min(times)]
    if line.refrigerant_is_unknown:
        named.append(f"refrigerant ({line.title})")
    return named
