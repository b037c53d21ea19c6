"""What comes after the measures are bought, in words: what is bought again, upkeep, what nobody knows."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.services.worth_years import Lasting, LaterMoney, WorthYears
from retrofit_desk.values.cents import cents_text, whole_dollars_text
from retrofit_desk.values.stated import Stated, StatedValue


def not_known(found: WorthYears) -> str:
    """What nobody has said of the years after, and so is not in the figures; empty where all is said."""
    told = []
    upkeep = [one.title for one in found.later if not _is_said(one.upkeep_cents)]
    lives = [one.title for one in found.later if one.lasts_unknown]
    anyway = [one.title for one in found.later if any(part.life is None for part in one.instead)]
    if upkeep:
        of = ", ".join(upkeep) if len(upkeep) < len(found.later) else "all measures"
        told.append(f"Upkeep that nobody has stated is not counted, which is not zero: {of}.")
    if lives:
        told.append(f"Bought once, for nobody knows how long it lasts: {', '.join(lives)}.")
    if anyway:
        told.append(f"Nobody knows how long that lasts which is bought anyway without: {', '.join(anyway)}.")
    return " ".join(told)


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


def made_power_text(found: WorthYears) -> str:
    """What a kilowatt-hour from the roof costs over the study; empty without a roof."""
    costs = [one.made_dollars_kwh for one in found.lines if one.made_dollars_kwh is not None]
    if not costs:
        return ""
    made = ", ".join(f"{cost * 100:.1f}" for cost in costs)
    return (
        f"A kilowatt-hour from the roof costs {made} cents: all that is paid for it less what is left, "
        f"spread over {found.outlook.years} years (fixed charge rate, Short et al. 1995)."
    )
