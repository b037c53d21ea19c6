"""What is open about a quote: dates, proofs, capacity against the load, scope, and the questions to ask."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from retrofit_desk.physics.loads import HEATING_LIMITS, Fit, capacity_fit
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text, days_text
from retrofit_desk.values.stated import StatedValue

SAME_TEMPERATURE_K = 1.0  # capacities this near to the design temperature are compared; our own choice
SAME_LOAD_SHARE = 0.15  # a firm's own load sum this near to the owner's counts as the same; our own choice


class Matter(StrEnum):
    """What a point is about."""

    SCOPE = "scope"
    SIZE = "size"
    DATES = "dates"
    PROOF = "license and insurance"
    PROGRAMME = "programme"
    MONEY = "money"
    PRODUCT = "product"


@dataclass(frozen=True)
class Point:
    """One thing that stands open or was checked. `question`: what to ask the firm, if asking helps."""

    matter: Matter
    text: str
    needs_owner: bool = False
    question: str = ""


@dataclass(frozen=True)
class Proof:
    """A license, an insurance or a listing of the firm: which, and from when until when it holds."""

    what: str
    starts_on: date | None
    ends_on: date | None
    checked_on: date | None = None


@dataclass(frozen=True)
class Listing:
    """Whether a programme that the owner means to use lists the firm. `is_listed` none: nobody looked."""

    programme: str
    is_listed: bool | None
    checked_on: date | None = None
    ends_on: date | None = None


@dataclass(frozen=True)
class SizeFacts:
    """What the firm offers and sized for against the load of the house, W and °C."""

    capacity_w: StatedValue[float]
    capacity_at_c: float | None
    firm_load_w: StatedValue[float]
    load_method: str
    based_on: str
    measured_on_site: bool | None
    load_w: float
    load_at_c: float
    load_name: str
    newer_load_name: str = ""
    """A design load made after the one the firms were given."""


@dataclass(frozen=True)
class ScopeFact:
    """One line of the scope as the firm answers it; `has_guess`: the owner's guess for it is known."""

    text: str
    answer: ScopeAnswer
    has_guess: bool


def scope_points(lines: Iterable[ScopeFact]) -> tuple[Point, ...]:
    """What the firm leaves out or leaves open."""
    found: list[Point] = []
    unguessed: list[str] = []
    for line in lines:
        if line.answer is ScopeAnswer.NOT_STATED:
            ask = f"Is this in the price: {line.text}? If not, what does it cost?"
            found.append(Point(Matter.SCOPE, f"Not stated: {line.text}.", question=ask))
        if line.answer in (ScopeAnswer.NOT_STATED, ScopeAnswer.EXCLUDED) and not line.has_guess:
            unguessed.append(line.text)
    if unguessed:
        text = f"No guess of yours for {'; '.join(unguessed)}: the like-for-like price is only a lower bound."
        found.append(Point(Matter.SCOPE, text, needs_owner=True))
    return tuple(found)


def capacity_percent(facts: SizeFacts) -> int | None:
    """The offered capacity as a share of the load; none where the two are not for the same temperature."""
    if facts.capacity_w.value is None or facts.capacity_at_c is None:
        return None
    if abs(facts.capacity_at_c - facts.load_at_c) > SAME_TEMPERATURE_K:
        return None
    return round(100 * facts.capacity_w.value / facts.load_w)


def size_points(facts: SizeFacts) -> tuple[Point, ...]:
    """Capacity and load: what fits, what does not, what cannot be compared. No unit is named in the text."""
    return (*_capacity_points(facts), *_load_points(facts))


def _capacity_points(facts: SizeFacts) -> list[Point]:
    ask = "What is the capacity at our design temperature?"
    percent = capacity_percent(facts)
    if facts.capacity_w.value is None:
        text = f"Capacity at the design temperature: {facts.capacity_w.stated}."
        return [Point(Matter.SIZE, text, True, ask)]
    if percent is None:
        text = "The capacity is stated for another temperature than the load: the two cannot be compared."
        return [Point(Matter.SIZE, text, True, ask)]
    fit = capacity_fit(facts.capacity_w.value, facts.load_w, HEATING_LIMITS)
    words = {
        Fit.SHORT: "too little for the coldest day",
        Fit.FITS: "fits",
        Fit.GENEROUS: "more than is needed",
        Fit.OVERSIZED: "far more than is needed",
    }
    question = "" if fit is Fit.FITS else "Why this size? What is the least output in mild weather?"
    text = f"The capacity is {percent}% of the load “{facts.load_name}”: {words[fit]}."
    return [Point(Matter.SIZE, text, fit in (Fit.SHORT, Fit.OVERSIZED), question)]


def _load_points(facts: SizeFacts) -> list[Point]:
    found: list[Point] = []
    if facts.firm_load_w.value is None:
        text = f"Load the firm sized for: {facts.firm_load_w.stated}."
        found.append(Point(Matter.SIZE, text, True, "Did you calculate a load? Please send it."))
    elif abs(facts.firm_load_w.value / facts.load_w - 1) > SAME_LOAD_SHARE:
        percent = round(100 * facts.firm_load_w.value / facts.load_w)
        text = f"The firm sized for {percent}% of the load “{facts.load_name}”."
        found.append(Point(Matter.SIZE, text, True, "Which version of the house is your load for?"))
    if not facts.based_on:
        ask = "Which version of the house is your quote for?"
        found.append(Point(Matter.SIZE, "Version of the house: not stated.", question=ask))
    if facts.measured_on_site is False:
        found.append(Point(Matter.SIZE, "Nobody of this firm measured at the house.", True))
    elif facts.measured_on_site is None:
        found.append(Point(Matter.SIZE, "Whether somebody measured at the house: not stated."))
    if facts.newer_load_name:
        text = f"The load was worked out again since: “{facts.newer_load_name}”. The sizes are out of date."
        found.append(Point(Matter.SIZE, text, True, "Does the size still hold for the newer load?"))
    return found


def validity_points(valid_until: date | None, on: date, *, is_settled: bool) -> tuple[Point, ...]:
    """How long the price holds."""
    if is_settled:
        return ()
    if valid_until is None:
        return (Point(Matter.DATES, "Validity: not stated.", question="Until when does the price hold?"),)
    left = (valid_until - on).days
    if left < 0:
        text = f"The price held until {day_text(valid_until)}: it ran out."
        return (Point(Matter.DATES, text, True, "Does the price still hold?"),)
    text = f"The price holds until {day_text(valid_until)}, {days_text(left)}."
    return (Point(Matter.DATES, text, needs_owner=left <= 10),)


def proof_points(kind: str, proofs: Iterable[Proof], on: date) -> tuple[Point, ...]:
    """Whether one proof of this kind holds on the day of signing."""
    known = list(proofs)
    ask = f"Please send the {kind}, valid on the day of signing."
    if not known:
        return (Point(Matter.PROOF, f"No {kind} on record.", True, ask),)
    good = [one for one in known if _holds(one, on)]
    if good:
        best = max(good, key=lambda one: one.ends_on or date.min)
        ends = f"until {day_text(best.ends_on)}" if best.ends_on else "end not stated"
        checked = f", checked {day_text(best.checked_on)}" if best.checked_on else ""
        return (Point(Matter.PROOF, f"{best.what}, {ends}{checked}.", needs_owner=best.ends_on is None),)
    last = max(known, key=lambda one: one.ends_on or date.min)
    if last.ends_on is not None and last.ends_on < on:
        text = f"{last.what} ran out {day_text(last.ends_on)}."
    else:
        text = f"{last.what} starts only {day_text(last.starts_on)}."
    return (Point(Matter.PROOF, text, True, ask),)


def listing_points(listings: Iterable[Listing], on: date) -> tuple[Point, ...]:
    """Whether the programmes chosen for this work list the firm on the day of signing."""
    found: list[Point] = []
    for one in listings:
        if one.is_listed is None:
            text = f"Nobody looked yet whether {one.programme} lists this firm."
        elif not one.is_listed or (one.ends_on is not None and one.ends_on < on):
            text = f"{one.programme} does not list this firm on {day_text(on)}: its rebate may be lost."
        else:
            found.append(
                Point(Matter.PROGRAMME, f"Listed by {one.programme}, seen {day_text(one.checked_on)}.")
            )
            continue
        found.append(Point(Matter.PROGRAMME, text, True, f"Are you on the list of {one.programme}?"))
    return tuple(found)


def deposit_points(
    deposit_cents: StatedValue[int], price_cents: StatedValue[int], highest_cents: int | None, limit: str
) -> tuple[Point, ...]:
    """The deposit against the state's limit; `limit` says the rule, empty where none is in the table."""
    if deposit_cents.value is None:
        ask = "Which deposit do you ask at signing?"
        return (Point(Matter.MONEY, f"Deposit: {deposit_cents.stated}.", question=ask),)
    share = ""
    if price_cents.value:
        share = f", {round(Decimal(100 * deposit_cents.value) / price_cents.value)}% of the price"
    text = f"Deposit {cents_text(deposit_cents.value)}{share}"
    if highest_cents is not None and deposit_cents.value > highest_cents:
        return (
            Point(Matter.MONEY, f"{text}: above the limit of {cents_text(highest_cents)}. {limit}", True),
        )
    rule = limit or "no limit of this state is in the table"
    return (Point(Matter.MONEY, f"{text} ({rule.rstrip('.')})."),)


def _holds(proof: Proof, on: date) -> bool:
    started = proof.starts_on is None or proof.starts_on <= on
    return started and (proof.ends_on is None or on <= proof.ends_on)
