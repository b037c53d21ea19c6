"""The page of papers and photos on the sample house: finding, looking, dropping, freeing a hold."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.file_paper import FilePaperDialog
from retrofit_desk.desk.dialogs.paper_uses import UsePaperDialog
from retrofit_desk.desk.pages.papers import PapersPage
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.papers import PaperKind, PaperService
from retrofit_desk.values.place import PageKey, Place
from tests.desk.conftest import OpenPage

LEAD_SAFE = "taking out the old sliders"


@pytest.fixture
def page(sample_desk: Desk, open_page: OpenPage) -> PapersPage:
    return open_page(PapersPage(sample_desk), 1080)


@pytest.fixture
def letter(tmp_path: Path) -> Path:
    from reportlab.pdfgen.canvas import Canvas

    path = tmp_path / "2026-11-19_lead_safe certificate.pdf"
    canvas = Canvas(str(path))
    canvas.drawString(72, 700, "Lead-safe certificate")
    canvas.save()
    return path


def answer_with(
    monkeypatch: pytest.MonkeyPatch, fill: Callable[[FilePaperDialog], None], *, ok: bool
) -> None:
    """The owner fills the form in and records it, or puts it aside."""

    def exec_(dialog: FilePaperDialog) -> int:
        fill(dialog)
        dialog.accept() if ok else dialog.reject()
        return dialog.result()

    monkeypatch.setattr(FilePaperDialog, "exec", exec_)


def choose(box: QComboBox, words: str) -> None:
    texts = [box.itemText(i) for i in range(box.count())]
    box.setCurrentIndex(texts.index(words if words in texts else next(one for one in texts if words in one)))


def test_a_photo_is_found_by_its_room(page: PapersPage, qtbot: QtBot) -> None:
    page.table._filter.setText("den north wall open")
    qtbot.waitUntil(lambda: len(page.table.shown_rows()) == 2)
    assert all("Den" in row.rooms for row in page.table.shown_rows())


def test_the_chosen_paper_shows_its_picture_its_facts_and_what_it_serves(
    page: PapersPage, sample_desk: Desk
) -> None:
    plate = next(
        row for row in PaperService(sample_desk.project).rows() if row.title == "New water heater plate"
    )
    page.show_item(Place(PageKey.PAPERS, "paper", plate.id))
    words = [label.text() for label in page.sheet.findChildren(QLabel)]
    assert {"New water heater plate", "OK66-2609-O1187", "Heat-pump water heater", "Utility room"} <= set(
        words
    )
    assert page.sheet._view.isVisible()


def test_dropping_a_file_asks_files_it_and_frees_the_hold_that_waited(
    page: PapersPage, sample_desk: Desk, letter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = next(view for view in HoldService(sample_desk.project).blocking() if LEAD_SAFE in view.sentence)
    told: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: told.append(line))

    def fill(dialog: FilePaperDialog) -> None:
        choose(dialog._kind, str(PaperKind.LETTER))
        choose(dialog.uses.need, "lead-safe")

    answer_with(monkeypatch, fill, ok=True)
    sample_desk.papers_dropped.emit([str(letter)])

    row = page.table.selected()
    assert row is not None
    assert (row.title, row.kind) == ("Lead safe certificate", PaperKind.LETTER)
    assert str(row.on_paper) == "2026-11-19"
    assert waiting.id not in {view.id for view in HoldService(sample_desk.project).blocking()}
    assert any(line.startswith("Filed") and LEAD_SAFE in line for line in told)


def test_a_filed_paper_is_used_once_more_and_frees_what_waited(
    page: PapersPage, sample_desk: Desk, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    waiting = next(view for view in HoldService(sample_desk.project).blocking() if LEAD_SAFE in view.sentence)
    before = len(page.table.shown_rows())
    told: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: told.append(line))
    results: list[int] = []

    def fill(dialog: UsePaperDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.accept()
        results.append(dialog.result())
        choose(dialog.uses.need, "lead-safe")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(UsePaperDialog, "exec", fill)
    page._select(next(row.id for row in page.table.shown_rows() if row.kind is PaperKind.LICENSE))
    next(one for one in page.findChildren(QPushButton) if one.text() == "Also use it for …").click()
    page.refresh()
    assert results == [0]  # nothing chosen, nothing recorded
    assert len(page.table.shown_rows()) == before
    assert waiting.id not in {view.id for view in HoldService(sample_desk.project).blocking()}
    assert LEAD_SAFE in told[-1]


def test_putting_the_form_aside_files_nothing_and_keeps_what_was_typed(
    page: PapersPage, sample_desk: Desk, letter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = len(PaperService(sample_desk.project).rows())
    answer_with(monkeypatch, lambda dialog: dialog._title.setText("Certificate of Fallowmere"), ok=False)
    sample_desk.papers_dropped.emit([str(letter), str(letter)])
    assert len(PaperService(sample_desk.project).rows()) == before
    again = FilePaperDialog(sample_desk, page, letter)
    assert again._title.text() == "Certificate of Fallowmere"


def test_the_same_file_dropped_again_is_told(
    page: PapersPage, sample_desk: Desk, letter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: told.append(line))
    answer_with(monkeypatch, lambda _dialog: None, ok=True)
    sample_desk.papers_dropped.emit([str(letter)])
    sample_desk.papers_dropped.emit([str(letter)])
    assert "The same content was already there" in told[-1]


def test_a_photo_of_a_wall_says_room_wall_direction_and_tape(
    page: PapersPage, sample_desk: Desk, letter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(dialog: FilePaperDialog) -> None:
        choose(dialog._kind, str(PaperKind.PHOTO))
        choose(dialog.uses.room, "Den")
        choose(dialog.uses.surface, "orth")
        choose(dialog._direction, "north")
        dialog._tape.setChecked(True)

    answer_with(monkeypatch, fill, ok=True)
    sample_desk.papers_dropped.emit([str(letter)])
    row = page.table.selected()
    assert row is not None
    sheet = PaperService(sample_desk.project).sheet(row.id)
    assert sheet.tape_in_view
    assert str(sheet.direction) == "north"
    assert sheet.row.rooms == ("Den",)


def test_taking_a_paper_out_can_be_undone(page: PapersPage, qtbot: QtBot, sample_desk: Desk) -> None:
    row = page.table.selected()
    assert row is not None
    (button,) = [one for one in page.sheet.findChildren(QPushButton) if one.text() == "Take out"]
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert row.id not in {one.id for one in PaperService(sample_desk.project).rows()}
    sample_desk.project.undo()
    assert row.id in {one.id for one in PaperService(sample_desk.project).rows()}


def test_a_file_gone_from_the_folder_is_said_and_the_record_stays(
    page: PapersPage, sample_desk: Desk
) -> None:
    row = page.table.selected()
    assert row is not None
    path = PaperService(sample_desk.project).sheet(row.id).path
    assert path is not None
    path.chmod(0o600)
    path.unlink()
    page.refresh()
    page.show_item(Place(PageKey.PAPERS, "paper", row.id))
    selected = page.table.selected()
    assert selected is not None
    assert selected.is_missing
    assert "gone from the papers folder" in page.sheet._view._word.text()


def test_the_owners_name_and_the_number_on_a_paper_are_held_against_the_record_when_it_is_filed(
    page: PapersPage, sample_desk: Desk, letter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: told.append(line))

    def fill(dialog: FilePaperDialog) -> None:
        dialog._owner.setText("Maren Hollowel")
        dialog._number.setText("C-118")

    answer_with(monkeypatch, fill, ok=True)
    sample_desk.papers_dropped.emit([str(letter)])
    assert "says Maren Hollowel" in told[-1]
    row = page.table.selected()
    assert row is not None
    facts = PaperService(sample_desk.project).sheet(row.id).facts
    assert {Fact(FactKind.NAME, "Maren Hollowel"), Fact(FactKind.NUMBER, "C-118")} == set(facts)
