"""Everything with an end: what runs out when, how soon, and what it means."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from retrofit_desk.rules.days_off import Holiday
from retrofit_desk.values.dates import day_text, days_text


class EndKind(StrEnum):
    PERMIT = "permit"
    QUOTE = "quote"
    RESERVATION = "reservation"
    CLAIM_BY = "claim by"
    APPEAL_BY = "appeal by"
    LICENSE = "license"
    INSURANCE = "insurance"
    LIEN_WINDOW = "lien window"
    WARRANTY_REGISTRATION = "warranty registration"
    WARRANTY = "warranty"
    LOAN_DRAW = "loan draw"
    TAX_RECORD = "tax record"
    CANCELLATION = "right to cancel"
    OTHER = "other"


# Days ahead at which the owner is told; common practice, no source.
WARN_DAYS: dict[EndKind, int] = {
    EndKind.PERMIT: 45,
    EndKind.QUOTE: 10,
    EndKind.RESERVATION: 30,
    EndKind.CLAIM_BY: 30,
    EndKind.APPEAL_BY: 21,
    EndKind.LICENSE: 30,
    EndKind.INSURANCE: 30,
    EndKind.LIEN_WINDOW: 0,
    EndKind.WARRANTY_REGISTRATION: 30,
    EndKind.WARRANTY: 60,
    EndKind.LOAN_DRAW: 30,
    EndKind.TAX_RECORD: 0,
    EndKind.CANCELLATION: 3,
    EndKind.OTHER: 14,
}


MEANS: dict[EndKind, str] = {
    EndKind.CLAIM_BY: "A claim that is sent later is not paid.",
    EndKind.APPEAL_BY: "After that the answer stands.",
    EndKind.LICENSE: "Ask for proof of the renewal; the firm is under contract.",
    EndKind.WARRANTY_REGISTRATION: "Not registered by then, the maker may cover less.",
    EndKind.WARRANTY: "Have what is wrong put right before then.",
    EndKind.LOAN_DRAW: "What is not drawn by then is not paid out.",
}
"""What the end of a thing means, where its own line does not say it."""


class Urgency(StrEnum):
    OVER = "over"
    SOON = "soon"
    LATER = "later"


@dataclass(frozen=True)
class Ending:
    """Something that ends. `settled_on`: it was answered in time (claim sent, permit final) and is quiet."""

    kind: EndKind
    what: str
    ends_on: date
    starts_on: date | None = None
    settled_on: date | None = None
    means: str = ""
    key: str = ""


@dataclass(frozen=True)
class RunsOut:
    """An ending as seen on one day. `share_left`: of its whole span, for a bar that shortens."""

    ending: Ending
    days_left: int
    urgency: Urgency
    share_left: float | None
    sentence: str


def runs_out(endings: Iterable[Ending], on: date, *, within_days: int | None = None) -> tuple[RunsOut, ...]:
    """Unsettled endings, the soonest first; `within_days` leaves out what is farther off."""
    found = [_seen(ending, on) for ending in endings if ending.settled_on is None]
    near = [one for one in found if within_days is None or one.days_left <= within_days]
    return tuple(sorted(near, key=lambda one: (one.days_left, one.ending.what)))


def lapses_on(last_activity_on: date | None, idle_days: int | None) -> date | None:
    """The day a permit lapses for lack of activity (IRC R105.5: 180 days, states amend); none if unknown."""
    if last_activity_on is None or idle_days is None:
        return None
    return last_activity_on + timedelta(days=idle_days)


def cancel_until(signed_on: date, holidays: Iterable[Holiday]) -> date:
    """The last day to cancel a sale made at home: the third business day, Saturdays count.

    16 CFR 429.0: no Sunday and no federal holiday. The day the law names is left out, not a weekday on
    which it is kept instead: the shorter reading, so that nobody cancels too late.
    """
    years = (signed_on.year, signed_on.year + 1)
    free = {one.named_in(year) for one in holidays for year in years}
    day, counted = signed_on, 0
    while counted < 3:
        day += timedelta(days=1)
        counted += day.weekday() != 6 and day not in free
    return day


def lien_window_ends(last_work_on: date | None, days: int | None) -> date | None:
    """When a firm in the chain can no longer claim against the house; none if unknown."""
    return None if last_work_on is None or days is None else last_work_on + timedelta(days=days)


def _seen(ending: Ending, on: date) -> RunsOut:
    left = (ending.ends_on - on).days
    urgency = Urgency.LATER
    if left < 0:
        urgency = Urgency.OVER
    elif left <= WARN_DAYS[ending.kind]:
        urgency = Urgency.SOON
    share = None
    if ending.starts_on is not None and ending.ends_on > ending.starts_on:
        whole = (ending.ends_on - ending.starts_on).days
        share = min(max(left / whole, 0.0), 1.0)
    verb = "ran out" if left < 0 else "runs out"
    means = f" {ending.means}" if ending.means else ""
    sentence = f"{ending.what} {verb} {days_text(left)}, {day_text(ending.ends_on)}.{means}"
    return RunsOut(ending, left, urgency, share, sentence)
