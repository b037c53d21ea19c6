"""A blower-door test of a day's work stands among the leakage tests, and once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.meters import MeterService
from retrofit_desk.services.packet_house import house_part
from retrofit_desk.values.stated import StatedValue


def test_what_is_entered_and_written_up_stands_once(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        rows = MeterService(project).leakage_tests()
        with project.session() as session:
            assert session.scalars(
                select(m.CommissioningTest).where(m.CommissioningTest.kind == "blower_door")
            ).all()
    assert [(row.tested_on, row.id is None) for row in rows] == [
        (date(2025, 10, 24), False),
        (date(2025, 1, 14), False),
    ]


def test_a_test_of_the_days_work_is_told_with_its_measure(sample_copy: Path) -> None:
    with Project.open(sample_copy) as project:
        with project.action("Write up the den") as work:
            written = select(m.WorkEntry).where(m.WorkEntry.is_draft.is_(False))
            entry = work.session.scalars(written.order_by(m.WorkEntry.worked_on.desc())).first()
            assert entry is not None
            title, worked_on = entry.measure.title, entry.worked_on
            test = m.CommissioningTest(
                kind="blower_door", quantity="Leakage at 50 Pa", unit="m3/s", witness="Ada"
            )
            test.set_stated("value", StatedValue(0.9))
            entry.tests.append(test)
        newest, *_ = MeterService(project).leakage_tests()
        with project.session() as session:
            told = house_part(session).leakage[-1]
        project.undo()
        assert all(row.id is not None for row in MeterService(project).leakage_tests())
    assert (newest.id, newest.tested_on, newest.after, newest.by) == (None, worked_on, title, "Ada")
    assert newest.volume_m3 is not None
    # ACH50 = flow in an hour by the volume (ASTM E779-19)
    assert newest.ach50 == pytest.approx(0.9 * 3600.0 / newest.volume_m3)
    assert told.ach50.value == pytest.approx(newest.ach50)
