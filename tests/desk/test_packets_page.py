"""The page of packets on the sample house."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.packet_sent import PacketSentDialog
from retrofit_desk.desk.pages.packets import PacketsPage
from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.records.project import Project
from retrofit_desk.services.packets import PacketService
from retrofit_desk.values.place import PageKey, Place
from tests.desk.conftest import OpenPage

JOB_MS = 60_000


@pytest.fixture
def page(qtbot: QtBot, sample_desk: Desk, open_page: OpenPage) -> PacketsPage:
    made = open_page(PacketsPage(sample_desk), 1080)
    qtbot.waitUntil(lambda: bool(made.picker.rows), timeout=JOB_MS)
    return made


def make(page: PacketsPage, qtbot: QtBot) -> None:
    before = len(page.made.rows)
    qtbot.mouseClick(page.sheet.make_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(page.made.rows) == before + 1, timeout=JOB_MS)


def test_every_kind_is_listed_with_how_it_stands(page: PacketsPage) -> None:
    assert [row.line.key for row in page.picker.rows] == [kind.value for kind in PacketKind]
    assert page.picker.rows[0].line.remark.endswith("2 do not match")
    assert page.picker.rows[0].line.needs_owner
    assert page.picker.rows[0].is_chosen


def test_what_is_not_ready_stands_first_and_goes_to_where_it_is_dealt_with(
    page: PacketsPage, qtbot: QtBot, sample_desk: Desk
) -> None:
    line = next(row for row in page.sheet.open_lines.rows if row.accessibleName().startswith("Serial number"))
    assert "does not match" in line.accessibleName()
    with qtbot.waitSignal(sample_desk.went_to) as went:
        qtbot.keyClick(line, Qt.Key.Key_Return)
    assert went.args[0].page is PageKey.MEASURES


def test_what_was_seen_is_told_in_sentences(page: PacketsPage) -> None:
    told = [row.accessibleName() for row in page.sheet.open_lines.rows]
    serial = next(one for one in told if one.startswith("Serial number"))
    assert "The record says" in serial
    assert "look alike (character 9)." in serial


def test_another_kind_and_another_visit_are_chosen_with_the_keyboard(page: PacketsPage, qtbot: QtBot) -> None:
    qtbot.keyClick(page.picker.rows[3], Qt.Key.Key_Return)
    assert page.picker.rows[3].is_chosen
    assert page.sheet.about.count() > 1
    page.sheet.about.setFocus()
    qtbot.keyClick(page.sheet.about, Qt.Key.Key_Down)
    chosen = page.sheet.about.currentText()
    page.sheet.about.activated.emit(page.sheet.about.currentIndex())
    assert page.sheet.about.currentText() == chosen
    assert chosen in page.picker.rows[3].line.remark


def test_making_runs_in_the_background_and_shows_pages_and_where_it_lies(
    page: PacketsPage, qtbot: QtBot, sample_desk: Desk
) -> None:
    page.choose(PacketKind.INSPECTOR)
    told: list[str] = []
    sample_desk.notices.told.connect(lambda line, _owner: told.append(line))
    make(page, qtbot)
    assert page.sheet.view.page_count == PacketService(sample_desk.project).sent()[0].pages
    assert "packets" in page.sheet.made.text()
    assert any(line.startswith("Made Papers for the visit") for line in told)


def test_a_cancelled_making_keeps_nothing(page: PacketsPage, qtbot: QtBot, sample_desk: Desk) -> None:
    page.choose(PacketKind.LENDER)
    page.make()
    job = sample_desk.jobs.running[0]
    job.cancel()
    qtbot.waitUntil(lambda: not sample_desk.jobs.running, timeout=JOB_MS)
    assert PacketService(sample_desk.project).sent() == ()


def test_a_made_packet_is_noted_as_sent(page: PacketsPage, qtbot: QtBot, sample_desk: Desk) -> None:
    page.choose(PacketKind.INSPECTOR)
    make(page, qtbot)
    row = PacketService(sample_desk.project).sent()[0]
    dialog = PacketSentDialog(sample_desk, page, row)
    qtbot.addWidget(dialog)
    dialog.how.setCurrentText("shown at the visit")
    dialog.on.setText("nov 23")
    dialog.accept()
    page.refresh()
    sent = PacketService(sample_desk.project).sent()[0]
    assert (sent.how, sent.sent_on) == ("shown at the visit", date(2026, 11, 23))
    assert "sent Nov 23, 2026" in page.made.rows[0].accessibleName()


def test_go_to_shows_the_packet_asked_for(page: PacketsPage, qtbot: QtBot, sample_desk: Desk) -> None:
    page.choose(PacketKind.INSPECTOR)
    make(page, qtbot)
    page.choose(PacketKind.REBATE)
    page.show_item(Place(PageKey.PACKETS, "packet", PacketService(sample_desk.project).sent()[0].id))
    assert page.picker.rows[3].is_chosen


def test_a_copy_is_saved_where_the_owner_says(
    page: PacketsPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.choose(PacketKind.INSPECTOR)
    make(page, qtbot)
    target = tmp_path / "for the door.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    (button,) = [one for one in page.sheet.buttons if one.text() == "Save a copy …"]
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert target.read_bytes().startswith(b"%PDF-")


def test_a_project_open_for_reading_shows_readiness_but_makes_nothing(
    qtbot: QtBot, qapp: QApplication, sample_folder: Path
) -> None:
    sample_desk = Desk(Project.open(sample_folder, read_only=True))
    page = PacketsPage(sample_desk)
    qtbot.addWidget(page)
    page.refresh()
    qtbot.waitUntil(lambda: bool(page.picker.rows), timeout=JOB_MS)
    assert not page.sheet.make_button.isEnabled()
    assert page.sheet.open_lines.rows
    sample_desk.leave()


def test_an_empty_project_says_what_comes_first(qtbot: QtBot, empty_desk: Desk) -> None:
    page = PacketsPage(empty_desk)
    qtbot.addWidget(page)
    page.refresh()
    qtbot.waitUntil(lambda: bool(page.picker.rows), timeout=JOB_MS)
    words = [label.text() for label in page.sheet.findChildren(QLabel)]
    (first,) = {text for text in words if "choose a programme" in text.lower()}
    assert first[0].isupper()
    assert page.sheet.open_lines.isHidden()  # nothing to make: neither "all is here" nor "nothing is here"
    assert page.sheet.had_lines.isHidden()
