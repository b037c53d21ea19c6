"""The past of the sample houses: each day shows what was known on it, and nothing of what came after."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models import ActionKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.days import today_of, zone_of
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.inside import InsideService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.past import NoSuchDay, PastService

HAPPENED = {
    *("on", "paid_on", "cleared_on", "signed_by_owner_on", "signed_by_firm_on", "signed_on", "received_on"),
    *("asked_on", "answered_on", "sent_on", "held_from", "chosen_on", "applied_on", "issued_on", "final_on"),
    *("visited_on", "visited_at", "closed_on", "seen_on", "settled_on", "made_on", "done_on", "started_on"),
    *("tested_on", "removed_on", "on_paper", "quoted_on", "written_at", "at", "period_end", "covered_on"),
    *("placed_in_service_on", "bills_asked_on", "cost_as_of", "registered_on", "since"),
}
"""Columns that tell what has happened; others tell what is to come."""
DAYS = (date(2025, 1, 12), date(2025, 10, 22), date(2026, 6, 18), date(2026, 8, 15), date(2026, 10, 8))


@pytest.fixture(scope="module")
def sample(sample_folder: Path) -> Iterator[Project]:
    with Project.open(sample_folder, read_only=True) as project:
        yield project


def states(project: Project) -> dict[str, MeasureState]:
    with project.session() as session:
        return {row.key: row.state for row in session.scalars(select(m.Measure))}


@pytest.mark.parametrize("folder", ["sample_folder", "oil_folder"])
def test_the_history_goes_day_by_day_from_the_described_house_on(
    folder: str, request: pytest.FixtureRequest
) -> None:
    with Project.open(request.getfixturevalue(folder), read_only=True) as project:
        lines = PastService(project).lines()[::-1]
        with project.session() as session:
            today = today_of(session)
    moments = [line.at for line in lines]
    assert lines[0].title == "Describe the house"
    assert moments == sorted(set(moments))
    assert moments[-1].date() <= today
    assert (moments[-1] - moments[0]).days > 365


@pytest.mark.parametrize("folder", ["sample_folder", "oil_folder"])
@pytest.mark.parametrize("day", DAYS[1:])
def test_a_day_of_the_past_knows_nothing_of_a_later_one(
    folder: str, day: date, request: pytest.FixtureRequest
) -> None:
    with (
        Project.open(request.getfixturevalue(folder), read_only=True) as project,
        PastService(project).look_at(day) as past,
        past.session() as session,
    ):
        assert today_of(session) == day
        zone = zone_of(session)
        for mapper in m.Base.registry.mappers:
            names = HAPPENED & set(mapper.class_.__table__.columns.keys())
            if not names or not mapper.class_.in_history:
                continue
            for row in session.scalars(select(mapper.class_)):
                for name in names:
                    at = getattr(row, name)
                    known = at.astimezone(zone).date() if isinstance(at, datetime) else at
                    assert known is None or known <= day, (mapper.class_.__name__, name, row.id)


def test_each_measure_stands_where_its_own_history_says_on_every_day(sample: Project) -> None:
    for day in DAYS:
        with PastService(sample).look_at(day) as past, past.session() as session:
            for measure in session.scalars(select(m.Measure)):
                assert measure.state is measure.changes[-1].after, (day, measure.title)


def test_the_house_stands_alone_on_its_first_day_and_nothing_before(sample: Project) -> None:
    past = PastService(sample)
    with past.look_at(DAYS[0]) as first, first.session() as session:
        assert len(session.scalars(select(m.Room)).all()) == 10
        assert session.scalars(select(m.Measure)).all() == []
        assert session.scalars(select(m.Paper)).all() != []
        met = {firm.name for firm in session.scalars(select(m.Firm))}
        assert "Carraway Light and Power" in met
        assert "Sorrel Ridge Ground Heat" not in met
    with pytest.raises(NoSuchDay, match="first line is of Jan 12, 2025"):
        past.look_at(date(2025, 1, 11))


def test_the_ground_was_chosen_over_the_first_idea_between_two_days(sample: Project) -> None:
    past = PastService(sample)
    with past.look_at(date(2026, 6, 18)) as before, past.look_at(date(2026, 6, 26)) as after:
        assert states(before)["ductless-heads"] is MeasureState.PRICED
        assert states(before)["ground-heat"] is MeasureState.IDEA
        assert states(after)["ductless-heads"] is MeasureState.REPLACED
        assert states(after)["ground-heat"] is MeasureState.PRICED


def test_a_permit_is_asked_for_then_issued_then_final(sample: Project) -> None:
    seen = []
    for day in (date(2026, 8, 18), date(2026, 8, 19), date(2026, 9, 16)):
        with PastService(sample).look_at(day) as past, past.session() as session:
            permit = session.scalars(select(m.Permit).where(m.Permit.key == "attic-building")).one()
            seen.append((str(permit.state), permit.paper_id is not None, str(permit.inspections[0].result)))
    # the booking: a week before the visit of September 16
    assert seen == [
        ("applied", False, "not booked"),
        ("issued", True, "not booked"),
        ("final", True, "passed"),
    ]


def test_the_contract_waited_for_its_reservation_and_was_then_signed(sample: Project) -> None:
    def waits(day: date) -> tuple[bool, bool, list[str]]:
        with PastService(sample).look_at(day) as past:
            hold = next(one for one in HoldService(past).all() if one.answer.hold.key == "sign-ground")
            contracts = [one.title for one in MoneyService(past).contracts() if "bores" in one.title]
            return hold.answer.may_go_on, hold.is_done, contracts

    title = "Ground-source heat pump and bores"
    assert waits(date(2026, 7, 1)) == (False, False, [title])
    assert waits(date(2026, 7, 2)) == (True, False, [title])
    assert waits(date(2026, 7, 15)) == (True, True, [title])


def test_only_the_last_two_steps_are_the_owners_own(sample: Project) -> None:
    kinds = [line.kind for line in sample.history()]
    assert kinds[:2] == [ActionKind.DONE] * 2
    assert set(kinds[2:]) == {ActionKind.GIVEN}


def test_what_lies_in_the_den_wall_is_known_since_it_was_opened(sample: Project) -> None:
    def marks(day: date) -> list[str]:
        with PastService(sample).look_at(day) as past:
            inside = InsideService(past)
            face = next(face for face, words in inside.faces() if words == "Den, North wall")
            return [str(one.written.kind) for one in inside.look(face).marks]

    assert marks(date(2026, 10, 30)) == []
    assert marks(date(2026, 10, 31)).count("electrical box") == 2
