"""Blower-door tests that were written up with a day's work; those entered as a leakage test are left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m

BLOWER_DOOR = "blower_door"
"""Key of the test in the table of test limits."""
SAME_FLOW = 0.01
"""Two figures of one day that lie closer are one test, rounded twice."""


@dataclass(frozen=True)
class WrittenLeakage:
    """`volume_m3` is that of the newest leakage test on record: the house did not grow."""

    tested_on: date
    flow_50pa_m3_s: float
    volume_m3: float | None
    measure: str
    by: str
    paper_id: int | None


def written_leakage(session: Session) -> tuple[WrittenLeakage, ...]:
    """In the order of their days."""
    entered = session.scalars(select(m.LeakageTest).order_by(m.LeakageTest.tested_on)).all()
    volumes = [one.volume_m3 for one in entered if one.volume_m3]
    tests = (
        select(m.CommissioningTest)
        .join(m.CommissioningTest.entry)
        .where(m.CommissioningTest.kind == BLOWER_DOOR, m.WorkEntry.is_draft.is_(False))
    )
    found = [
        WrittenLeakage(
            test.entry.worked_on,
            test.value,
            volumes[-1] if volumes else None,
            test.entry.measure.title,
            test.witness or test.entry.who,
            test.paper_id,
        )
        for test in session.scalars(tests)
        if test.value
        and not test.entry.is_draft
        and not _is_entered(test.entry.worked_on, test.value, entered)
    ]
    return tuple(sorted(found, key=lambda one: one.tested_on))


def _is_entered(day: date, flow_m3_s: float, entered: Sequence[m.LeakageTest]) -> bool:
    return any(
        one.tested_on == day and abs(one.flow_50pa_m3_s / flow_m3_s - 1.0) < SAME_FLOW for one in entered
    )
