"""Inspections in their order, corrections before rebooking, and when a permit lapses or may close."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from retrofit_desk.rules.deadlines import lapses_on
from retrofit_desk.values.origin import Origin


class InspectionResult(StrEnum):
    NOT_BOOKED = "not booked"
    BOOKED = "booked"
    PASSED = "passed"
    PASSED_IN_PART = "passed in part"
    FAILED = "failed"
    CANCELLED = "canceled"


@dataclass(frozen=True)
class InspectionRule:
    """One visit of a template: what must have passed before it is booked, and what to have ready."""

    kind: str
    title: str
    after: tuple[str, ...] = ()
    before_covering: bool = False
    is_final: bool = False
    ready: tuple[str, ...] = ()


class ActivityKind(StrEnum):
    """What keeps a permit alive, as offices count it."""

    VISIT = "visit"
    WORK = "work"


@dataclass(frozen=True)
class PermitTemplate:
    """The visits of one kind of permit in their usual order; the local list takes its place.

    `activity`: what the idle days are counted from, with the source's words in `activity_words`.
    `measures`: kinds of work for which offices usually ask it.
    """

    key: str
    permit_kind: str
    title: str
    idle_days: int | None
    activity: tuple[ActivityKind, ...]
    activity_words: str
    inspections: tuple[InspectionRule, ...]
    caution: str
    origin: Origin
    measures: tuple[str, ...] = ()


@dataclass(frozen=True)
class Visit:
    """One inspection on record. A second visit for the same thing names the first in `again_of`."""

    key: str
    kind: str
    title: str
    result: InspectionResult = InspectionResult.NOT_BOOKED
    booked_for: date | None = None
    visited_on: date | None = None
    again_of: str = ""
    open_corrections: tuple[str, ...] = ()
    is_final: bool = False
    place: str = ""
    """Rough electrical of the den does not wait for that of the loft."""
    permit: str = ""
    """Key of the permit it belongs to."""


@dataclass(frozen=True)
class BookingAnswer:
    """Whether a visit may be booked, in one sentence."""

    visit: Visit
    missing: tuple[str, ...]

    @property
    def may_book(self) -> bool:
        return not self.missing

    @property
    def sentence(self) -> str:
        if self.may_book:
            return f"May be booked: {self.visit.title}."
        return f"Not yet: don't book {self.visit.title} until {' and '.join(self.missing)}."


@dataclass(frozen=True)
class PermitDates:
    """What decides when a permit ends."""

    issued_on: date | None
    idle_days_limit: int | None
    ends_on: date | None = None
    final_on: date | None = None
    activity_on: tuple[date, ...] = ()
    extended_until: date | None = None
    """Given by the office in writing, in spite of idle days and of the end on the permit."""


def may_book(visit: Visit, visits: Iterable[Visit], rules: Sequence[InspectionRule]) -> BookingAnswer:
    """Earlier visits the rule names must have passed, and corrections of this thing must be closed.

    A final waits for every other visit of its permit, whatever the list says.
    """
    others = tuple(one for one in visits if one.key != visit.key)
    missing: list[str] = []
    if visit.result in (InspectionResult.PASSED, InspectionResult.BOOKED):
        missing.append(f"it is not {visit.result} already")
    missing += _put_right(_chain(visit, others))
    rule = next((one for one in rules if one.kind == visit.kind), None)
    for kind in rule.after if rule else ():
        same = [one for one in others if one.kind == kind and _same_place(one, visit)]
        missing += [f"{one.title} has passed" for one in _unpassed(same)]
    if visit.is_final:
        missing += [f"{one.title} has passed" for one in _unpassed(_before_final(visit, others))]
    return BookingAnswer(visit, tuple(dict.fromkeys(missing)))


def may_close(visits: Iterable[Visit]) -> tuple[str, ...]:
    """What a permit still needs before it is final: visits not passed, corrections not closed."""
    known = tuple(visits)
    open_visits = [f"{one.title} has passed" for one in _unpassed(known)]
    return tuple(dict.fromkeys([*open_visits, *_put_right(known)]))


def permit_ends(dates: PermitDates) -> date | None:
    """The day a permit lapses: its own end or too long without activity, whichever is first. Final: never.

    What happens after it has lapsed does not bring it back; an extension in writing or a new issue does.
    """
    if dates.final_on is not None:
        return None
    idle_end = lapses_on(last_activity(dates), dates.idle_days_limit)
    end = min((day for day in (idle_end, dates.ends_on) if day), default=None)
    if end is None or dates.extended_until is None:
        return end
    return max(end, dates.extended_until)


def last_activity(dates: PermitDates) -> date | None:
    """The day the idle days count from: they begin anew with every activity while it stands (IRC R105.5)."""
    last = dates.issued_on
    if last is None:
        return None
    for day in sorted(day for day in dates.activity_on if day > last):
        end = lapses_on(last, dates.idle_days_limit)
        if end is not None and day > max(end, dates.extended_until or end):
            break
        last = day
    return last


def ready_for(visit: Visit, rules: Sequence[InspectionRule], visits: Iterable[Visit] = ()) -> tuple[str, ...]:
    """What to have ready at the door: the template's list, then every correction of earlier visits."""
    rule = next((one for one in rules if one.kind == visit.kind), None)
    earlier = [f"put right: {text}" for one in _chain(visit, tuple(visits)) for text in one.open_corrections]
    return tuple(dict.fromkeys([*(rule.ready if rule else ()), *earlier]))


def _put_right(visits: Iterable[Visit]) -> list[str]:
    """All open corrections in one part of a sentence; none for none."""
    texts = list(dict.fromkeys(text for one in visits for text in one.open_corrections))
    which = "this is" if len(texts) == 1 else "these are"
    return [f"{which} put right: {'; '.join(texts)}"] if texts else []


def _before_final(visit: Visit, others: Sequence[Visit]) -> list[Visit]:
    """The other visits of its own permit there: a final comes when the work is complete (IRC R109.1.6)."""
    mine = [one for one in others if one.permit and one.permit == visit.permit and _same_place(one, visit)]
    return [one for one in mine if not one.is_final]


def _chain(visit: Visit, others: Sequence[Visit]) -> list[Visit]:
    """The visit itself and those it repeats."""
    chain, seen = [visit], {visit.key}
    while chain[-1].again_of and chain[-1].again_of not in seen:
        before = next((one for one in others if one.key == chain[-1].again_of), None)
        if before is None:
            break
        seen.add(before.key)
        chain.append(before)
    return chain


def _unpassed(visits: Sequence[Visit]) -> list[Visit]:
    """Visits that stand open; one that was repeated is answered by its repetition."""
    repeated = {one.again_of for one in visits if one.again_of}
    standing = [one for one in visits if one.key not in repeated]
    done = (InspectionResult.PASSED, InspectionResult.CANCELLED)
    return [one for one in standing if one.result not in done]


def _same_place(one: Visit, other: Visit) -> bool:
    return not one.place or not other.place or one.place == other.place
