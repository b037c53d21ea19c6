"""Undo, redo and any day of the past, exact to the stored byte."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from retrofit_desk.records import models
from retrofit_desk.records.errors import HistoryDiffers, NothingTo, OnlyForReading
from retrofit_desk.records.models import ActionKind
from retrofit_desk.records.project import Project
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.values.stated import Stated, StatedValue
from tests.records.builders import a_measure, a_storey, everything_stored, file_a_paper

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
numbers = st.floats(allow_nan=False, allow_infinity=False)
facts = st.dictionaries(words, st.none() | st.booleans() | st.integers() | numbers | words, max_size=3)
stated_cents = st.one_of(
    st.integers(-(2**62), 2**62).map(StatedValue),
    st.sampled_from([Stated.UNKNOWN, Stated.NOT_STATED, Stated.EXCLUDED]).map(
        lambda word: StatedValue(None, word)
    ),
)


def _add_measure(work: Work, data: st.DataObject) -> None:
    measure = a_measure(data.draw(words), inputs=data.draw(facts))
    measure.set_stated("cost_cents", data.draw(stated_cents))
    measure.entries.append(
        models.WorkEntry(
            worked_on=datetime(2026, 5, 4).date(), written_at=datetime.now(UTC), hours=data.draw(numbers)
        )
    )
    work.session.add(measure)


def _edit_measure(work: Work, data: st.DataObject) -> None:
    for measure in work.session.scalars(select(models.Measure).limit(data.draw(st.integers(0, 3)))):
        measure.set_stated("cost_cents", data.draw(stated_cents))
        measure.inputs = data.draw(facts)
        measure.state = data.draw(st.sampled_from(models.MeasureState))


def _delete_measure(work: Work, data: st.DataObject) -> None:
    for measure in work.session.scalars(select(models.Measure).limit(data.draw(st.integers(0, 2)))):
        work.session.delete(measure)


def _add_storey(work: Work, data: st.DataObject) -> None:
    work.session.add(a_storey(rooms=data.draw(st.integers(0, 3))))


def _edit_room(work: Work, data: st.DataObject) -> None:
    for room in work.session.scalars(select(models.Room).limit(2)):
        room.floor_area_m2 = data.draw(numbers)
        room.outline = data.draw(st.none() | st.lists(st.lists(numbers, min_size=2, max_size=2), max_size=3))


def _delete_storey(work: Work, data: st.DataObject) -> None:
    for storey in work.session.scalars(select(models.Storey).limit(1)):
        work.session.delete(storey)


def _file_paper(work: Work, data: st.DataObject) -> None:
    paper = file_a_paper(work, data.draw(st.binary(max_size=8)), data.draw(words))
    paper.facts.append(models.PaperFact(kind=models.FactKind.SERIAL, value=data.draw(words)))


def _delete_paper(work: Work, data: st.DataObject) -> None:
    for paper in work.session.scalars(select(models.Paper).limit(1)):
        work.session.delete(paper)


STEPS = [
    _add_measure,
    _edit_measure,
    _delete_measure,
    _add_storey,
    _edit_room,
    _delete_storey,
    _file_paper,
    _delete_paper,
]


@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_undo_after_any_ten_actions_restores_every_stored_byte(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder, Project.create(Path(folder) / "house") as project:
        _ten_actions_and_back(project, data)


def _ten_actions_and_back(project: Project, data: st.DataObject) -> None:
    pictures: list[Any] = [everything_stored(project)]
    moments = [datetime.now(UTC)]
    for _ in range(10):
        lines = len(project.history())
        with project.action("Any step") as work:
            for step in data.draw(st.lists(st.sampled_from(STEPS), min_size=1, max_size=2)):
                step(work, data)
                work.session.flush()
        if len(project.history()) > lines:
            pictures.append(everything_stored(project))
            moments.append(datetime.now(UTC))

    for picture in reversed(pictures[:-1]):
        project.undo()
        assert everything_stored(project) == picture
    for picture in pictures[1:]:
        project.redo()
        assert everything_stored(project) == picture
    _same_on_some_past_moment(project, data, pictures, moments)


def _same_on_some_past_moment(
    project: Project, data: st.DataObject, pictures: list[Any], moments: list[datetime]
) -> None:
    n = data.draw(st.integers(0, len(moments) - 1))
    then = {row[::2] for row in pictures[n]["measure"]}
    with project.as_of(moments[n]) as past, past.session() as session:
        stored = session.connection().exec_driver_sql("SELECT * FROM measure").all()
        assert {tuple(row) for row in stored} == then


def test_undo_says_what_it_would_take_back_and_redo_what_it_would_do_again(project: Project) -> None:
    with project.action("Add the den") as work:
        work.session.add(a_storey())
    assert (project.undo_title, project.redo_title) == ("Add the den", None)
    assert project.undo() == "Add the den"
    assert (project.undo_title, project.redo_title) == (None, "Add the den")


def test_a_new_action_ends_what_could_be_redone(project: Project) -> None:
    for title in ("One", "Two"):
        with project.action(title) as work:
            work.session.add(a_measure(title))
    project.undo()
    with project.action("Three") as work:
        work.session.add(a_measure("Three"))
    assert project.redo_title is None
    with pytest.raises(NothingTo):
        project.redo()
    assert project.undo_title == "Three"


def test_undo_goes_on_after_closing_and_opening(project: Project) -> None:
    for title in ("One", "Two", "Three"):
        with project.action(title) as work:
            work.session.add(a_measure(title))
    project.undo()
    path = project.path
    project.close()
    with Project.open(path) as again:
        assert (again.undo_title, again.redo_title) == ("Two", "Three")
        again.redo()
        assert again.undo_title == "Three"


def test_what_a_new_project_comes_with_stays_in_the_history_and_out_of_undo(project: Project) -> None:
    with project.action("Set up the house", kind=ActionKind.GIVEN) as work:
        work.session.add(a_measure("given"))
    assert project.undo_title is None
    with pytest.raises(NothingTo):
        project.undo()
    with project.action("Add") as work:
        work.session.add(a_measure("added"))
    assert project.undo() == "Add"
    assert project.undo_title is None
    assert [line.title for line in project.history()] == ["Add", "Add", "Set up the house"]


def test_the_history_is_never_rewritten(project: Project) -> None:
    with project.action("Add") as work:
        work.session.add(a_measure())
    project.undo()
    project.redo()
    assert [line.kind for line in reversed(project.history())] == [
        ActionKind.DONE,
        ActionKind.UNDONE,
        ActionKind.REDONE,
    ]


def test_undo_refuses_when_the_record_was_changed_from_outside(project: Project) -> None:
    with project.action("Add") as work:
        work.session.add(a_measure("as written"))
    with project._writing.begin() as connection:  # type: ignore[union-attr]
        connection.exec_driver_sql("UPDATE measure SET title = 'meddled'")
    before = everything_stored(project)
    with pytest.raises(HistoryDiffers):
        project.undo()
    assert everything_stored(project) == before
    assert project.undo_title == "Add"


def test_nothing_to_undo_is_one_line(project: Project) -> None:
    with pytest.raises(NothingTo, match="nothing to undo"):
        project.undo()


def test_what_did_we_know_when_we_signed(project: Project) -> None:
    with project.action("File the quote") as work:
        measure = a_measure(cost_cents=1_000_000)
        work.session.add(measure)
    with project.outside_history() as work:
        work.session.add(models.SavingsResult(kind="savings", fingerprint="old", made_at=datetime.now(UTC)))
    signed = datetime.now(UTC)
    with project.action("Correct the cost") as work:
        work.session.get_one(models.Measure, measure.id).cost_cents = 1_400_000
    with project.outside_history() as work:
        work.session.add(models.SavingsResult(kind="savings", fingerprint="new", made_at=datetime.now(UTC)))

    with project.as_of(signed) as past, past.session() as session:
        assert session.get_one(models.Measure, measure.id).cost_cents == 1_000_000
        assert session.scalars(select(models.SavingsResult.fingerprint)).all() == ["old"]
        assert [line.title for line in past.history()] == ["File the quote"]
    with project.session() as session:
        assert session.get_one(models.Measure, measure.id).cost_cents == 1_400_000


def test_the_past_is_only_for_reading(project: Project) -> None:
    with project.as_of(datetime.now(UTC)) as past:
        assert past.is_read_only
        with pytest.raises(OnlyForReading), past.action("Rewrite the past"):
            pass
        with past.as_of(datetime.now(UTC) - timedelta(days=1)) as further, further.session() as session:
            assert session.scalars(select(models.Measure)).all() == []


def test_a_clock_set_back_does_not_reorder_what_happened(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Clock(datetime):
        moments = iter(datetime(2026, 11, 1, hour, tzinfo=UTC) for hour in (10, 12, 11))

        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return next(cls.moments)

    monkeypatch.setattr("retrofit_desk.records.clock.datetime", Clock)
    for title in ("at ten", "at twelve", "at eleven, the clock set back"):
        with project.action(title) as work:
            work.session.add(a_measure(title))
    with project.as_of(datetime(2026, 11, 1, 11, 30, tzinfo=UTC)) as past:
        assert len(past.history()) == 3
    with project.as_of(datetime(2026, 11, 1, 10, 30, tzinfo=UTC)) as past:
        assert [line.title for line in past.history()] == ["at ten"]


def test_the_history_of_one_wall_is_told_oldest_first(project: Project) -> None:
    with project.action("Describe") as work:
        storey = a_storey()
        work.session.add(storey)
    wall = storey.rooms[0].surfaces[0]
    with project.action("Measure the wall again") as work:
        work.session.get_one(models.Surface, wall.id).area_m2 = 11.5
    told = project.history_of("surface", wall.id)
    assert [line.title for line, _ in told] == ["Describe", "Measure the wall again"]
    last = told[-1][1]
    assert last.before is not None
    assert last.after is not None
    assert (last.before["area_m2"], last.after["area_m2"]) == (10.0, 11.5)
