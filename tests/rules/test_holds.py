"""One engine for every step that waits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.holds import (
    Evidence,
    Hold,
    HoldAction,
    HoldAnswer,
    Need,
    NeedKind,
    NotYet,
    Outcome,
    Override,
    answer,
    go_on,
)

MONDAY = date(2026, 11, 23)
ROUGH = Need(NeedKind.INSPECTION, "rough electrical has passed", "visit:1")
PHOTOS = Need(NeedKind.PHOTO_SET, "three photos are filed", "need:2", count=3)
WALL = Hold("wall", HoldAction.COVER, "the north wall", (ROUGH, PHOTOS))
BOOKED = Evidence(NeedKind.INSPECTION, "visit:1", Outcome.EXPECTED, MONDAY + timedelta(days=3))
PASSED = Evidence(NeedKind.INSPECTION, "visit:1", Outcome.GIVEN, MONDAY)


def photos(count: int, on: date = MONDAY) -> Evidence:
    return Evidence(NeedKind.PHOTO_SET, "need:2", Outcome.GIVEN, on, count)


def test_a_hold_explains_itself_in_one_sentence() -> None:
    found = answer(WALL, [BOOKED, photos(1)], MONDAY)
    assert found.sentence == (
        "Not yet: don't cover the north wall until rough electrical has passed (booked Thursday) "
        "and three photos are filed (1 of 3)."
    )
    assert not found.may_go_on


def test_all_evidence_frees_and_says_since_when() -> None:
    found = answer(
        WALL, [PASSED, photos(2), photos(1, MONDAY + timedelta(days=1))], MONDAY + timedelta(days=2)
    )
    assert found.is_free
    assert found.free_since == MONDAY + timedelta(days=1)


def test_a_pass_dated_tomorrow_or_not_at_all_frees_nothing_today() -> None:
    tomorrow = replace(PASSED, on=MONDAY + timedelta(days=1))
    undated = replace(PASSED, on=None)
    for evidence in (tomorrow, undated):
        assert not answer(WALL, [evidence, photos(3)], MONDAY).is_free
    assert "filed without its date" in answer(WALL, [undated, photos(3)], MONDAY).sentence


def test_a_later_failure_outweighs_an_earlier_pass() -> None:
    failed = Evidence(NeedKind.INSPECTION, "visit:1", Outcome.REFUSED, MONDAY + timedelta(days=1))
    found = answer(WALL, [PASSED, failed, photos(3)], MONDAY + timedelta(days=2))
    assert not found.is_free
    assert "failed" in found.sentence


def test_evidence_that_ran_out_frees_no_more() -> None:
    need = Need(NeedKind.PAPER, "the insurance certificate is filed", "need:9")
    hold = Hold("sign", HoldAction.SIGN, "the contract", (need,))
    paper = Evidence(NeedKind.PAPER, "need:9", Outcome.GIVEN, MONDAY, valid_until=MONDAY + timedelta(days=5))
    assert answer(hold, [paper], MONDAY + timedelta(days=5)).is_free
    late = answer(hold, [paper], MONDAY + timedelta(days=6))
    assert "ran out" in late.sentence


def test_a_date_is_a_need_like_any_other() -> None:
    wait = Need(NeedKind.DATE, "the slab has cured", not_before=MONDAY + timedelta(days=28))
    hold = Hold("heat", HoldAction.START, "heating the floor", (wait,))
    assert not answer(hold, [], MONDAY).is_free
    assert answer(hold, [], MONDAY + timedelta(days=28)).is_free


def test_not_applicable_needs_a_reason() -> None:
    skipped = replace(PHOTOS, not_applicable_reason="no wall is opened here")
    assert answer(replace(WALL, needs=(ROUGH, skipped)), [PASSED], MONDAY).is_free
    blank = replace(PHOTOS, not_applicable_reason="  ")
    assert not answer(replace(WALL, needs=(ROUGH, blank)), [PASSED], MONDAY).is_free


def test_going_on_without_evidence_takes_a_reason_that_stays_visible() -> None:
    with pytest.raises(NotYet, match="write down why"):
        go_on(WALL, [photos(3)], MONDAY)
    with pytest.raises(NotYet):
        go_on(WALL, [photos(3)], MONDAY, reason="   ")
    _, override = go_on(WALL, [photos(3)], MONDAY, reason="The inspector allowed it by phone", by="Owner")
    assert override is not None
    assert override.missing == ("rough electrical has passed",)
    later = answer(replace(WALL, override=override), [photos(3)], MONDAY)
    assert later.may_go_on
    assert not later.is_free
    assert "The inspector allowed it by phone" in later.sentence


def test_an_override_does_not_speak_for_what_opened_again_later() -> None:
    override = Override("Two photos will do", "Owner", MONDAY, ("three photos are filed",))
    hold = replace(WALL, override=override)
    assert answer(hold, [PASSED, photos(2)], MONDAY).is_overridden
    failed = Evidence(NeedKind.INSPECTION, "visit:1", Outcome.REFUSED, MONDAY + timedelta(days=2))
    later = answer(hold, [PASSED, photos(2), failed], MONDAY + timedelta(days=2))
    assert not later.may_go_on
    assert later.sentence.startswith("Not yet: don't cover the north wall until rough electrical has passed")


def test_walls_stay_open_and_old_heat_stays_until_each_need_is_met() -> None:
    # PER-6: constructed, from IRC R109.1.2, R109.1.4, R109.4
    trades = [
        Need(NeedKind.INSPECTION, f"{name} has passed", name) for name in ("rough", "framing", "insulation")
    ]
    walls = Hold("close", HoldAction.COVER, "the walls", tuple(trades))
    old_heat = Hold(
        "old",
        HoldAction.REMOVE,
        "the old heating",
        (Need(NeedKind.EQUIPMENT_RUNNING, "the new heat is tested and running", "heat"),),
    )
    passed = [Evidence(NeedKind.INSPECTION, key, Outcome.GIVEN, MONDAY) for key in ("rough", "framing")]
    assert not answer(walls, passed, MONDAY).may_go_on
    assert not answer(old_heat, passed, MONDAY).may_go_on
    running = Evidence(NeedKind.EQUIPMENT_RUNNING, "heat", Outcome.GIVEN, MONDAY)
    assert answer(old_heat, [running], MONDAY).may_go_on


def passed_without_evidence(holds: Iterable[Hold], evidence: Iterable[Evidence]) -> tuple[HoldAnswer, ...]:
    """Steps done on a day on which their hold was neither free nor overridden; a sound record has none."""
    told = tuple(evidence)
    found: list[HoldAnswer] = []
    for hold in holds:
        if hold.done_on is None:
            continue
        was = answer(hold, told, hold.done_on)
        late = hold.override is not None and hold.override.on > hold.done_on
        if not was.is_free and (not was.is_overridden or late):
            found.append(was)
    return tuple(found)


EVENTS = st.lists(
    st.tuples(st.sampled_from(["file", "fail", "photos", "try", "try with reason"]), st.integers(0, 3)),
    max_size=25,
)


@given(EVENTS)
def test_no_order_of_steps_passes_a_hold_silently(events: list[tuple[str, int]]) -> None:
    hold, evidence, today = WALL, list[Evidence](), MONDAY
    for event, days in events:
        today += timedelta(days=days)
        if event == "file":
            evidence.append(replace(PASSED, on=today))
        elif event == "fail" and hold.done_on != today:
            # a refusal of the very day of the step is flagged: the record cannot tell which came first
            evidence.append(replace(PASSED, outcome=Outcome.REFUSED, on=today))
        elif event == "photos":
            evidence.append(photos(2, today))
        elif event.startswith("try") and hold.done_on is None:
            reason = "seen by two people" if event == "try with reason" else ""
            try:
                found, override = go_on(hold, evidence, today, reason=reason)
            except NotYet:
                assert not reason
                assert not answer(hold, evidence, today).may_go_on
                continue
            assert found.is_free or override is not None
            hold = replace(hold, done_on=today, override=override)
    assert not passed_without_evidence([hold], evidence)


def test_a_refusal_on_the_day_of_the_step_is_flagged() -> None:
    hold = replace(WALL, done_on=MONDAY + timedelta(days=1))
    failed = replace(PASSED, outcome=Outcome.REFUSED, on=MONDAY + timedelta(days=1))
    assert passed_without_evidence([hold], [PASSED, photos(3)]) == ()
    assert passed_without_evidence([hold], [PASSED, photos(3), failed])


@given(st.integers(0, 6), st.integers(0, 3), st.booleans())
def test_a_step_done_too_early_is_found_in_the_record(day: int, count: int, reasoned: bool) -> None:
    evidence = [replace(PASSED, on=MONDAY + timedelta(days=3)), photos(count)]
    override = Override("allowed by phone", "Owner", MONDAY, ("x",)) if reasoned else None
    hold = replace(WALL, done_on=MONDAY + timedelta(days=day), override=override)
    silent = day < 3 or count < 3
    assert bool(passed_without_evidence([hold], evidence)) == (silent and not reasoned)
