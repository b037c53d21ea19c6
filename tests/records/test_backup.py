"""Backups are checked when made, checked again when used, and never lose what they replace."""

from __future__ import annotations

from datetime import datetime

import pytest

from retrofit_desk.records import backup
from retrofit_desk.records.backup import Reason
from retrofit_desk.records.database import database_of
from retrofit_desk.records.errors import BackupUnusable, ProjectInUse
from retrofit_desk.records.project import Project
from tests.records.builders import a_measure, everything_stored, file_a_paper


def add(project: Project, title: str) -> None:
    with project.action(title) as work:
        work.session.add(a_measure(title))


def test_a_restored_project_is_the_one_that_was_backed_up(project: Project) -> None:
    add(project, "before")
    made, picture = project.backup_now(), everything_stored(project)
    add(project, "after")
    latest, path = everything_stored(project), project.path
    project.close()

    done = backup.restore(path, made)
    with Project.open(path) as again:
        assert everything_stored(again) == picture
        assert again.undo_title == "before"
        replaced = next(one for one in again.backups() if one.folder == done.replaced_kept_in)
    assert replaced.reason is Reason.RESTORE

    backup.restore(path, replaced)
    with Project.open(path) as again:
        assert everything_stored(again) == latest


def test_a_backup_lists_its_papers_and_a_restore_names_those_that_are_gone(project: Project) -> None:
    with project.action("File") as work:
        paper = file_a_paper(work, name="permit.pdf")
    made, path = project.backup_now(), project.path
    assert [entry.sha256 for entry in made.papers] == [paper.sha256]
    project.papers.discard(paper.sha256)
    project.close()
    assert [entry.name for entry in backup.restore(path, made).papers_missing] == ["permit.pdf"]


def test_a_backup_changed_since_is_refused_and_the_project_stays(project: Project) -> None:
    add(project, "before")
    made, path = project.backup_now(), project.path
    picture = everything_stored(project)
    project.close()
    with (made.folder / "project.sqlite").open("ab") as file:
        file.write(b"?")
    with pytest.raises(BackupUnusable, match="was changed since"):
        backup.restore(path, made)
    with Project.open(path) as again:
        assert everything_stored(again) == picture


def test_an_open_project_is_not_restored_under_its_program(project: Project) -> None:
    made = project.backup_now()
    with pytest.raises(ProjectInUse):
        backup.restore(project.path, made)


def test_a_damaged_record_is_kept_when_a_backup_takes_its_place(project: Project) -> None:
    add(project, "before")
    made, path = project.backup_now(), project.path
    project.close()
    database_of(path).write_bytes(b"this was a record once" * 500)
    done = backup.restore(path, made)
    assert (done.replaced_kept_in / "project.sqlite").read_bytes().startswith(b"this was")
    with Project.open(path) as again:
        assert again.undo_title == "before"


def test_one_backup_a_day_and_the_oldest_daily_ones_go(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Day(datetime):
        day = 0

        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return datetime(2026, 3, 1 + cls.day, 12, tzinfo=tz)  # type: ignore[arg-type]

    monkeypatch.setattr(backup, "datetime", Day)
    asked = project.backup_now()
    assert project.backup_if_due() is None
    for Day.day in range(1, 20):
        assert project.backup_if_due() is not None
        assert project.backup_if_due() is None
    kept = project.backups()
    assert len([one for one in kept if one.reason is Reason.DAILY]) == 14
    assert kept[-1] == asked
