"""One line of a sizing sheet: what is needed, what the measure has, and by which rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from retrofit_desk.values.quantity import Dimension


class Verdict(StrEnum):
    """How what the measure has stands to what is needed."""

    ENOUGH = "enough"
    SHORT = "too little"
    MUCH = "more than needed"
    WITHIN = "within the limit"
    BEYOND = "beyond the limit"
    CHANGED = "changed"
    """What it was before and what it is after."""
    COMPARED = "compared"
    """A sum by hand beside the hourly model's."""
    TO_KNOW = "to know"
    """Nothing to hold it against: a number for the order, the engineer or the licensed trade."""
    UNKNOWN = "cannot say"


@dataclass(frozen=True)
class Size:
    """One thing to size. Values are in the SI unit of `dimension`; None where there is no such number.

    `rule` names the standard or says "common practice, no source"; `says` is one sentence for the owner.
    `about`: the zone or surface of the described house, empty for the whole house.
    """

    subject: str
    dimension: Dimension
    needed: float | None
    has: float | None
    verdict: Verdict
    rule: str
    says: str = ""
    about: str = ""


def about(name: str, lines: Iterable[Size]) -> tuple[Size, ...]:
    """The lines as told of one zone or surface."""
    return tuple(replace(line, about=name) for line in lines)


def changed(subject: str, dimension: Dimension, before: float, after: float, rule: str) -> Size:
    """What the measure makes of it: `needed` holds the value before."""
    return Size(subject, dimension, before, after, Verdict.CHANGED, rule)


def compared(
    subject: str, dimension: Dimension, by_hand: float, modeled: float, rule: str, says: str = ""
) -> Size:
    """The same number worked out in two ways: `needed` holds the one by hand."""
    return Size(subject, dimension, by_hand, modeled, Verdict.COMPARED, rule, says)


def at_least(
    subject: str, dimension: Dimension, needed: float, has: float, rule: str, says: str = ""
) -> Size:
    """A size that must reach what is needed."""
    verdict = Verdict.ENOUGH if has >= needed else Verdict.SHORT
    return Size(subject, dimension, needed, has, verdict, rule, says)


def at_most(subject: str, dimension: Dimension, limit: float, has: float, rule: str, says: str = "") -> Size:
    """A size that must stay under a limit."""
    verdict = Verdict.WITHIN if has <= limit else Verdict.BEYOND
    return Size(subject, dimension, limit, has, verdict, rule, says)


def to_know(subject: str, dimension: Dimension, value: float, rule: str, says: str = "") -> Size:
    """A number to order or to ask by."""
    return Size(subject, dimension, value, None, Verdict.TO_KNOW, rule, says)


def cannot_say(subject: str, dimension: Dimension, needs: str, rule: str) -> Size:
    """What is missing for it."""
    return Size(subject, dimension, None, None, Verdict.UNKNOWN, rule, f"Needs {needs.rstrip('.')}.")
