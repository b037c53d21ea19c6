"""What moves a measure from idea to proven, and back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.states import (
    PATH,
    RULES,
    BillsAnswer,
    MeasureFacts,
    MeasureState,
    may_move,
    may_reopen,
    missing_for,
    next_notch,
    notches,
    supported_state,
)

STEPS: list[tuple[MeasureState, dict[str, object]]] = [
    (MeasureState.PRICED, {"has_own_costing": True}),
    (MeasureState.COMMITTED, {"is_signed_or_bought": True}),
    (MeasureState.UNDER_WAY, {"work_has_begun": True}),
    (MeasureState.IN_PLACE, {"everything_fitted": True}),
    (MeasureState.SIGNED_OFF, {"owner_accepts": True}),
    (MeasureState.PROVEN, {"bills": BillsAnswer.CONFIRMED}),
]


def test_each_piece_of_evidence_moves_one_notch() -> None:
    facts = MeasureFacts()
    state = supported_state(facts)
    assert state is MeasureState.IDEA
    for after, given_facts in STEPS:
        assert next_notch(state) is after
        assert not may_move(state, after, facts).is_allowed
        facts = replace(facts, **given_facts)  # type: ignore[arg-type]
        assert may_move(state, after, facts).is_allowed
        state = supported_state(facts)
        assert state is after


def test_fitted_is_not_in_place_until_its_tests_have_passed() -> None:
    facts = MeasureFacts(
        is_signed_or_bought=True, work_has_begun=True, everything_fitted=True, open_tests=("loop pressure",)
    )
    found = may_move(MeasureState.UNDER_WAY, MeasureState.IN_PLACE, facts)
    assert found.sentence == "Not yet in place: needs the test passed: loop pressure."


def test_a_permit_takes_the_owners_word_away() -> None:
    done = MeasureFacts(
        is_signed_or_bought=True, everything_fitted=True, owner_accepts=True, needs_permit=True
    )
    open_visit = replace(done, permits_issued=True, open_inspections=("Mechanical final",))
    assert missing_for(MeasureState.SIGNED_OFF, done) == ("its permit issued",)
    assert missing_for(MeasureState.SIGNED_OFF, open_visit) == ("passed: Mechanical final",)


def test_own_work_needs_no_contract() -> None:
    own = MeasureFacts(has_own_costing=True, is_own_work=True, work_has_begun=True)
    assert supported_state(own) is MeasureState.UNDER_WAY


@pytest.mark.parametrize(
    ("bills", "state"),
    [
        (BillsAnswer.TOO_SOON, MeasureState.TOO_SOON),
        (BillsAnswer.NOT_BORNE_OUT, MeasureState.NOT_BORNE_OUT),
        (BillsAnswer.CONFIRMED, MeasureState.PROVEN),
        (BillsAnswer.NOT_ASKED, MeasureState.SIGNED_OFF),
    ],
)
def test_only_the_bills_prove(bills: BillsAnswer, state: MeasureState) -> None:
    facts = MeasureFacts(is_signed_or_bought=True, everything_fitted=True, owner_accepts=True, bills=bills)
    assert supported_state(facts) is state
    assert notches(MeasureState.TOO_SOON) == 6


def test_going_back_needs_a_reason_and_no_evidence() -> None:
    back = (MeasureState.SIGNED_OFF, MeasureState.UNDER_WAY, MeasureFacts())
    assert not may_move(*back).is_allowed
    assert may_move(*back, reason="The joint leaks").is_allowed
    assert may_reopen(MeasureState.IN_PLACE)
    assert not may_reopen(MeasureState.UNDER_WAY)


def test_what_stands_in_the_house_is_not_simply_dropped() -> None:
    facts = MeasureFacts()
    assert may_move(MeasureState.PRICED, MeasureState.DROPPED, facts, reason="Too dear").is_allowed
    assert not may_move(MeasureState.IN_PLACE, MeasureState.DROPPED, facts, reason="Too dear").is_allowed
    replaced = replace(facts, replaced_by="radiant floors")
    assert may_move(MeasureState.IDEA, MeasureState.REPLACED, replaced, reason="One job").is_allowed


@given(
    st.builds(
        MeasureFacts,
        has_own_costing=st.booleans(),
        is_signed_or_bought=st.booleans(),
        is_own_work=st.booleans(),
        work_has_begun=st.booleans(),
        everything_fitted=st.booleans(),
        open_tests=st.sampled_from([(), ("flow",)]),
        needs_permit=st.booleans(),
        permits_issued=st.booleans(),
        open_inspections=st.sampled_from([(), ("final",)]),
        owner_accepts=st.booleans(),
        bills=st.sampled_from(BillsAnswer),
    )
)
def test_a_state_is_supported_only_with_all_that_comes_before_it(facts: MeasureFacts) -> None:
    state = supported_state(facts)
    for step in PATH[: notches(state)]:
        if step is not MeasureState.PROVEN:
            assert not missing_for(step, facts)
    after = next_notch(state)
    assert after is None or missing_for(after, facts)


def test_every_state_has_its_rule() -> None:
    assert set(RULES) == set(MeasureState)
