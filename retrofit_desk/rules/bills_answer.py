"""What the bills before and after a piece of work may be taken to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from retrofit_desk.rules.states import BillsAnswer

FEWEST_DAYS = 184
"""Fewest days of bills that can be enough: BPI-2400-S-2012, 3.2.2. Work closer together is judged as one."""
CONFIDENCE = 0.68
LARGEST_SHARE = 0.50
"""ASHRAE Guideline 14-2014, 4.2: uncertainty below half of the saving at 68 % confidence (from memory)."""


JUDGED_BY = (
    f"Proven: what is saved stands out, its uncertainty at {CONFIDENCE:.0%} confidence being at most "
    f"{LARGEST_SHARE:.0%} of it (ASHRAE Guideline 14). Not borne out: it does not, or more is used. "
    f"Too soon: too little is recorded before or since, such as fewer than 330 days, or {FEWEST_DAYS} with "
    "cold and mild months (BPI-2400)."
)
"""The thresholds, for the owner."""


@dataclass(frozen=True)
class Done:
    """A measure in service: when its work began, and when it was placed in service."""

    measure_id: int
    began: date
    ended: date


@dataclass(frozen=True)
class Spell:
    """Measures so close together that bills can only speak for them as one."""

    measure_ids: tuple[int, ...]
    began: date
    ended: date


@dataclass(frozen=True)
class BillsEvidence:
    """What was found. `faults`: why bills are too few; `uncertainty_share`: at 68 %, None without savings."""

    faults: tuple[str, ...]
    saved_kwh: float
    uncertainty_share: float | None


def spells(done: Sequence[Done]) -> tuple[Spell, ...]:
    """The work in its order, joined where fewer days than bills need lie between."""
    found: list[Spell] = []
    for one in sorted(done, key=lambda one: (one.began, one.measure_id)):
        last = found[-1] if found else None
        if last is not None and (one.began - last.ended).days < FEWEST_DAYS:
            ended = max(last.ended, one.ended)
            found[-1] = Spell((*last.measure_ids, one.measure_id), last.began, ended)
        else:
            found.append(Spell((one.measure_id,), one.began, max(one.began, one.ended)))
    return tuple(found)


def answer_of(evidence: BillsEvidence) -> BillsAnswer:
    """Too soon while bills are too few; confirmed when the saving stands out of their scatter."""
    if evidence.faults:
        return BillsAnswer.TOO_SOON
    share = evidence.uncertainty_share
    if evidence.saved_kwh > 0 and share is not None and share <= LARGEST_SHARE:
        return BillsAnswer.CONFIRMED
    return BillsAnswer.NOT_BORNE_OUT


def reason_of(evidence: BillsEvidence) -> str:
    """The answer's reason, in one clause for the owner."""
    if evidence.faults:
        return "; ".join(evidence.faults)
    if evidence.saved_kwh <= 0:
        return "the house uses no less than before, weather taken out"
    share = evidence.uncertainty_share
    if share is None:
        return "how sure the saving is cannot be said"
    if share <= LARGEST_SHARE:
        return f"the uncertainty is {share:.0%} of the saving, and half would be allowed"
    return f"the saving does not stand out of the scatter: its uncertainty is {share:.0%} of it"
