"""What comes after the measures are bought, in words: what is bought again, upkeep, what nobody knows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from retrofit_desk.estimate.later_money import upkeep_known_cents
from retrofit_desk.services.worth_years import Lasting, LaterMoney, WorthYears
from retrofit_desk.values.cents import cents_text, whole_dollars_text
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import Stated, StatedValue

MOST_NAMED = 2
"""Titles in a sentence."""


def not_known(found: WorthYears) -> str:
    """What nobody has said of the years after, and so is not in the figures; empty where all is said."""
    told = []
    upkeep = [one.title for one in found.later if not _is_said(one.upkeep_cents)]
    lives = [one.title for one in found.later if one.lasts_unknown]
    anyway = [one.title for one in found.later if any(part.life is None for part in one.instead)]
    if upkeep:
        of = _named(upkeep, found)
        told.append(f"Upkeep that nobody has stated is not counted, which is not zero: {of}.")
    if lives:
        told.append(f"Bought once, for nobody knows how long it lasts: {_named(lives, found)}.")
    if anyway:
        of = _named(anyway, found)
        told.append(f"Nobody knows how long that lasts which is bought anyway without: {of}.")
    return " ".join(told)


def _named(titles: Sequence[str], found: WorthYears) -> str:
    """A few by name; more of them by their number, for the tables name each."""
    if len(titles) <= MOST_NAMED:
        return ", ".join(titles)
    return f"{len(titles)} of {len(found.later)} measures"


def _is_said(value: StatedValue[int]) -> bool:
    return value.stated in (Stated.KNOWN, Stated.EXCLUDED)


@dataclass(frozen=True)
class LaterRow:
    """One thing that is bought, with the measures or without them, and what becomes of it in the study."""

    measure: str
    thing: str
    is_instead: bool
    price: str
    lasts: str
    bought: str
    left: str
    source: str


def later_rows(found: WorthYears) -> list[LaterRow]:
    """Every part of every measure of known cost, then what would be bought without it."""
    years = found.outlook.years
    return [
        _later_row(one, part, is_instead, years)
        for one in found.later
        for is_instead, parts in ((False, one.own), (True, one.instead))
        for part in parts
        if part.price_cents
    ]


def _later_row(one: LaterMoney, part: Lasting, is_instead: bool, years: int) -> LaterRow:
    life = part.life
    lasts = "done once" if part.is_once else "not known"
    if life is not None:
        spread = "" if life.low_years == life.high_years else f" ({life.low_years} to {life.high_years})"
        lasts = f"{life.years}{spread}"
    again = [year for year, _ in part.again(years)]
    first = [part.bought_in] if part.bought_in < years else []
    bought = ", ".join(str(year) if year else "now" for year in (*first, *again)) or "after the study"
    sources = (part.bought_because, "" if life is None else life.source)
    return LaterRow(
        one.title,
        part.name,
        is_instead,
        whole_dollars_text(part.price_cents),
        lasts,
        bought,
        whole_dollars_text(part.left_cents(years)),
        "; ".join(said for said in sources if said),
    )


@dataclass(frozen=True)
class UpkeepRow:
    """One measure's upkeep a year, that which ends with it, and who says so."""

    measure: str
    comes: str
    ends: str
    source: str


def upkeep_rows(found: WorthYears) -> list[UpkeepRow]:
    """Upkeep of every measure of known cost."""
    return [
        UpkeepRow(one.title, _yearly(one.upkeep_cents), _yearly(one.ended_upkeep_cents), one.source)
        for one in found.later
    ]


def _yearly(value: StatedValue[int]) -> str:
    return str(value.stated) if value.value is None else cents_text(value.value)


def later_in_short(found: WorthYears) -> list[tuple[str, str, str]]:
    """What comes after the purchase in a few lines: what it is, how it comes about, how much."""
    years = found.outlook.years
    own, instead = ([part for one in found.later for part in parts(one)] for parts in (_own, _instead))
    lines = [
        (f"Bought again within {count_text(years, 'year')}, with the measures", *_again(own, years)),
        (f"Bought again within {count_text(years, 'year')}, without them", *_again(instead, years)),
        (
            f"Worth after {count_text(years, 'year')}",
            "What is left of the life of all that was bought, at the price of today.",
            f"{_left(own, years)} with, {_left(instead, years)} without",
        ),
        ("Upkeep of a year", *_upkeep(found)),
    ]
    return lines + _made_power(found)


def _own(one: LaterMoney) -> tuple[Lasting, ...]:
    return one.own


def _instead(one: LaterMoney) -> tuple[Lasting, ...]:
    return one.instead


def _again(parts: Sequence[Lasting], years: int) -> tuple[str, str]:
    """The things and their years, and what they come to."""
    again = [
        (year, part.name, cents) for part in parts if part.price_cents for year, cents in part.again(years)
    ]
    if not again:
        return "Nothing wears out in that time, as far as lives are known.", "nothing"
    named = "; ".join(f"{name.lower()} in year {year}" for year, name, _ in sorted(again))
    return f"{named[:1].upper()}{named[1:]}.", whole_dollars_text(sum(cents for *_, cents in again))


def _left(parts: Sequence[Lasting], years: int) -> str:
    return whole_dollars_text(sum(part.left_cents(years) for part in parts))


def _upkeep(found: WorthYears) -> tuple[str, str]:
    """What is known of it, and of how many measures nobody has said."""
    unsaid = sum(not _is_said(one.upkeep_cents) for one in found.later)
    comes, ends = upkeep_known_cents(found.later)
    why = f"Nobody has stated it for {unsaid} of {len(found.later)} measures: unknown, not zero."
    if unsaid == len(found.later) and not ends:
        return why, "unknown"
    return (why if unsaid else ""), f"{whole_dollars_text(comes)} comes, {whole_dollars_text(ends)} ends"


def _made_power(found: WorthYears) -> list[tuple[str, str, str]]:
    """What a kilowatt-hour from each roof costs over the study; empty without a roof."""
    costs = [one.made_dollars_kwh for one in found.lines if one.made_dollars_kwh is not None]
    if not costs:
        return []
    study = count_text(found.outlook.years, "year")
    why = (
        f"All that is paid for it less what is left, spread over {study} (fixed charge rate, Short et al. "
        "1995)."
    )
    return [("A kilowatt-hour from the roof", why, ", ".join(f"{cost * 100:.1f} cents" for cost in costs))]
