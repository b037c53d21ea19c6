"""What goes wrong around the record: one clear line, and nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot
from sqlalchemy import event, select

from retrofit_desk.desk.app import READING_ONLY, Starter
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.papers import PapersPage
from retrofit_desk.desk.settings import Settings
from retrofit_desk.records import models as m
from retrofit_desk.records.errors import OnlyForReading, ProjectInUse
from retrofit_desk.records.project import Project
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.papers import Filing, PaperKind, PaperService
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.search import SearchService
from retrofit_desk.values.place import Place
from tests.bench.works_ratios import large_house
from tests.journeys.papers import a_letter


@contextmanager
def statements(project: Project) -> Iterator[list[str]]:
    """Every question put to the database meanwhile."""
    asked: list[str] = []

    def note(*arguments: object) -> None:
        asked.append(str(arguments[2]))

    event.listen(project._reading, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(project._reading, "before_cursor_execute", note)


def test_a_second_program_reads_only_and_says_why(
    qapp: QApplication, qtbot: QtBot, sample_copy: Path, tmp_path: Path
) -> None:
    with Project.open(sample_copy) as first:
        with pytest.raises(ProjectInUse):
            Project.open(sample_copy)
        starter = Starter(Settings(tmp_path / "window.ini"))
        starter.open_project(sample_copy)
        qtbot.waitUntil(lambda: starter.window is not None, timeout=20_000)
        window = starter.window
        assert window is not None
        shown = [one.text() for one in window.findChildren(QLabel) if one.isVisible()]
        assert READING_ONLY in shown
        with pytest.raises(OnlyForReading):
            MeasureService(window.desk.project).add("air_sealing", "Twice")
        MeasureService(first).add("air_sealing", "Written by the first")
        qtbot.waitUntil(lambda: not window.desk.jobs.running, timeout=20_000)
        starter.leave()
        window.close()
        window.deleteLater()
    with Project.open(sample_copy) as again:
        assert "Written by the first" in [row.title for row in MeasureService(again).rows()]


def test_a_paper_deleted_from_the_folder_keeps_its_record_and_is_named(
    qapp: QApplication, qtbot: QtBot, sample_copy: Path
) -> None:
    desk = Desk(Project.open(sample_copy))
    papers = PaperService(desk.project)
    row = next(one for one in papers.rows() if "Den north wall open" in one.title)
    path = papers.sheet(row.id).path
    assert path is not None
    path.chmod(0o600)
    path.unlink()
    assert next(one for one in papers.rows() if one.id == row.id).is_missing
    page = PapersPage(desk)
    qtbot.addWidget(page)
    page.refresh()
    page.show_item(Place(page.key, "paper", row.id))
    said = "\n".join(one.text() for one in page.findChildren(QLabel))
    assert "Its file is gone from the papers folder; the record was kept. File it again." in said
    assert papers.sheet(row.id).used_for  # what it stands for is still known
    desk.leave()


def test_a_broken_photo_is_told_in_its_place(
    qapp: QApplication, qtbot: QtBot, sample_copy: Path, tmp_path: Path
) -> None:
    desk = Desk(Project.open(sample_copy))
    broken = tmp_path / "wall.jpg"
    broken.write_bytes(b"\xff\xd8\xff\xe0 not a picture")
    filed = PaperService(desk.project).file(
        broken, Filing(PaperKind.PHOTO, "Broken photo", date(2026, 11, 19))
    )
    page = PapersPage(desk)
    qtbot.addWidget(page)
    page.resize(1100, 700)
    page.show()
    page.refresh()
    page.show_item(Place(page.key, "paper", filed.paper_id))
    said = "This picture cannot be read. The file is kept as it is."
    qtbot.waitUntil(lambda: said in _words(page), timeout=10_000)
    assert PaperService(desk.project).sheet(filed.paper_id).size_bytes == broken.stat().st_size
    desk.leave()


def _words(page: PapersPage) -> str:
    return "\n".join(one.text() for one in page.findChildren(QLabel))


def test_ten_thousand_papers_are_listed_and_searched_by_a_few_questions(sample_copy: Path) -> None:
    with Project.open(sample_copy) as project:
        with project.action("Ten thousand photos") as work:
            entries = work.session.scalars(select(m.WorkEntry.id)).all()
            faces = work.session.scalars(select(m.Surface.id)).all()
            work.session.add_all(
                _photo(number, entries[number % len(entries)], faces[number % len(faces)])
                for number in range(10_000)
            )
        with statements(project) as asked:
            rows = PaperService(project).rows()
        assert len(rows) > 10_000
        assert len(asked) < 60
        photo = next(row for row in rows if row.title == "Photo 7777")
        assert photo.rooms
        assert photo.measures
        with statements(project) as asked:
            assert SearchService(project).find("Photo 7777")[0].title == "Photo 7777"
        assert len(asked) < 60


def _photo(number: int, entry_id: int, face_id: int) -> m.Paper:
    return m.Paper(
        kind=PaperKind.PHOTO,
        title=f"Photo {number}",
        original_name=f"{number}.jpg",
        sha256=f"{number:064x}",
        size_bytes=1,
        media_type="image/jpeg",
        on_paper=date(2026, 1, 1) + timedelta(days=number % 300),
        filed_at=datetime(2026, 11, 1, tzinfo=UTC),
        uses=[
            m.PaperUse(subject=m.PaperSubject.WORK_ENTRY, subject_id=entry_id),
            m.PaperUse(subject=m.PaperSubject.SURFACE, subject_id=face_id),
        ],
    )


def test_five_hundred_steps_are_planned_and_shown_by_a_few_questions(tmp_path: Path) -> None:
    with large_house(tmp_path / "large") as project:
        with statements(project) as asked:
            found = AtHandService(project).look()
        assert len(asked) < 120
        assert found.ready
        view = ScheduleService(project).view()
        assert len(view.steps) == 500
        starts = {one.title: one.start for one in view.steps}
        ends = {one.title: one.last_day for one in view.steps}
        assert all(ends[need] < starts[one.title] for one in view.steps for need in one.waits_for)


def test_the_same_paper_twice_is_kept_once_and_told(sample_copy: Path, tmp_path: Path) -> None:
    letter = a_letter(tmp_path / "letter.pdf", "The same words")
    with Project.open(sample_copy) as project:
        papers = PaperService(project)
        first = papers.file(letter, Filing(PaperKind.LETTER, "First"))
        second = papers.file(letter, Filing(PaperKind.LETTER, "Second"))
        assert (first.already_filed_as, second.already_filed_as) == (None, "First")
        assert papers.sheet(second.paper_id).same_content == ("First",)
        assert papers.sheet(first.paper_id).path == papers.sheet(second.paper_id).path
