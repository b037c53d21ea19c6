"""When bills are enough to speak, and what they then may be taken to say."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.bills_answer import (
    FEWEST_DAYS,
    LARGEST_SHARE,
    BillsEvidence,
    Done,
    answer_of,
    reason_of,
    spells,
)
from retrofit_desk.rules.states import BillsAnswer

DAY = date(2025, 10, 24)


def done(number: int, began_after: int, days: int = 0) -> Done:
    began = DAY + timedelta(days=began_after)
    return Done(number, began, began + timedelta(days=days))


def test_work_far_apart_is_judged_apart_and_close_together_as_one() -> None:
    # BPI-2400-S-2012, 3.2.2 (from memory): fewer than 184 days of bills are never enough
    apart = spells([done(1, 0), done(2, FEWEST_DAYS)])
    assert [one.measure_ids for one in apart] == [(1,), (2,)]
    (together,) = spells([done(1, 0, 20), done(2, 10, 60), done(3, 70 + FEWEST_DAYS - 1)])
    assert together.measure_ids == (1, 2, 3)
    assert (together.began, together.ended) == (DAY, DAY + timedelta(days=70 + FEWEST_DAYS - 1))


@given(st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 300)), max_size=8))
def test_every_measure_is_in_one_spell_and_spells_leave_room_for_bills(rows: list[tuple[int, int]]) -> None:
    found = spells([done(number, began, days) for number, (began, days) in enumerate(rows)])
    assert sorted(one for spell in found for one in spell.measure_ids) == list(range(len(rows)))
    for before, after in pairwise(found):
        assert (after.began - before.ended).days >= FEWEST_DAYS


def test_too_few_bills_are_too_soon_whatever_they_seem_to_save() -> None:
    evidence = BillsEvidence(("Gas meter, since the work: no bills",), 5000.0, 0.05)
    assert answer_of(evidence) is BillsAnswer.TOO_SOON
    assert reason_of(evidence) == "Gas meter, since the work: no bills"


def test_a_saving_is_confirmed_when_its_uncertainty_is_at_most_half_of_it() -> None:
    # ASHRAE Guideline 14-2014: uncertainty under 50 % of the saving at 68 % confidence (from memory)
    assert answer_of(BillsEvidence((), 900.0, LARGEST_SHARE)) is BillsAnswer.CONFIRMED
    assert answer_of(BillsEvidence((), 900.0, LARGEST_SHARE + 0.01)) is BillsAnswer.NOT_BORNE_OUT
    assert "does not stand out" in reason_of(BillsEvidence((), 900.0, 0.8))


def test_more_use_than_before_is_not_borne_out() -> None:
    evidence = BillsEvidence((), -300.0, None)
    assert answer_of(evidence) is BillsAnswer.NOT_BORNE_OUT
    assert "uses no less" in reason_of(evidence)
