"""Rows read as bare columns say the same as the rows themselves, also before they are committed."""

from __future__ import annotations

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.columns import all_as_tuples, one_as_tuple
from retrofit_desk.records.project import Project
from retrofit_desk.services.dated_steps import TaskRow
from retrofit_desk.services.hold_records import HoldRow, NeedRow, OverrideRow

FORMS = ((HoldRow, m.Hold), (NeedRow, m.HoldNeed), (OverrideRow, m.HoldOverride), (TaskRow, m.Task))


def test_columns_of_the_sample_are_what_its_rows_say(sample_project: Project) -> None:
    with sample_project.session() as session:
        for form, table in FORMS:
            whole = session.scalars(select(table).order_by(table.id)).all()
            assert all_as_tuples(session, form, table, table.id) == [one_as_tuple(form, one) for one in whole]


def test_a_change_within_an_action_is_seen_at_once(sample_project: Project) -> None:
    with sample_project.action("Name a step anew") as work:
        row = work.session.scalars(select(m.Task).order_by(m.Task.id)).first()
        assert row is not None
        row.title = "Quite another step"
        assert all_as_tuples(work.session, TaskRow, m.Task, m.Task.id)[0].title == "Quite another step"
