"""The owner at the window: presses what is on the screen, types into what has a name, reads it all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QCheckBox,
    QComboBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QTabBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.app import Starter
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.dialogs.reason import ReasonDialog
from retrofit_desk.desk.go_to import GoToField
from retrofit_desk.desk.pages.measures_schedule import SchedulePane
from retrofit_desk.desk.rail import RailButton
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.widgets.lines import LineRow
from retrofit_desk.desk.widgets.register import RegisterLine
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.window import Window
from retrofit_desk.values.place import Place

Answers = dict[str, str | bool]
PATIENCE_MS = 60_000
DIALOG_MS = 50


class Owner:
    """One person, one window. Every verb ends with the window at rest."""

    def __init__(self, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        self._qtbot, self._monkeypatch, self._folder = qtbot, monkeypatch, folder
        self._starter = Starter(Settings(folder / "window.ini"))
        self.told: list[str] = []
        self.troubles: list[str] = []

    # beginning and ending

    def starts_for_the_first_time(self) -> None:
        self._starter.first_start()

    def opens_the_sample_house(self, kept_in: Path) -> None:
        """By the first button of the first start; the sample lies there already."""
        self._monkeypatch.setattr("retrofit_desk.services.sample.sample_folder", lambda _house: kept_in)
        beginning = self._starter.beginning
        assert beginning is not None
        self._press_in(beginning, "Open the sample house")
        self._qtbot.waitUntil(lambda: self._starter.window is not None, timeout=PATIENCE_MS)
        self.window.desk.notices.told.connect(self._hear)
        self._rest()

    def leaves(self) -> None:
        self._starter.leave()
        for one in (self._starter.window, self._starter.beginning):
            if one is not None:
                one.close()
                one.deleteLater()

    @property
    def window(self) -> Window:
        assert self._starter.window is not None
        return self._starter.window

    # looking

    def opens_the_page(self, words: str) -> None:
        button = next(one for one in self.window.findChildren(RailButton) if one.text() == words)
        self._qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        self._rest()

    def reads(self) -> str:
        """All words on the open page, each on its line."""
        page = self.window.centralWidget()
        shown = [one.text() for one in page.findChildren(QLabel) if one.isVisible()]
        named = [one.accessibleName() for one in page.findChildren(QWidget) if one.isVisible()]
        return "\n".join(text for text in (*shown, *named) if text)

    def chooses_the_measure(self, title: str) -> None:
        lines = self.window.findChildren(RegisterLine)
        line = next(one for one in lines if one.isVisible() and one.row.title == title)
        self._qtbot.mouseClick(line, Qt.MouseButton.LeftButton)
        self._rest()

    def presses(self, words: str) -> None:
        self._press_in(self.window, words)
        self._rest()

    def presses_beside(self, line: str, words: str) -> None:
        """A button that stands beside a line, reached and pressed by the keyboard."""
        self._press_beside(line, words)
        self._rest()

    def fills_in_beside(self, line: str, opened_by: str, answers: Answers) -> None:
        """The form that a button beside a line opens."""
        self._with_the_form(
            lambda form: self._fill(form, answers), lambda: self._press_beside(line, opened_by)
        )

    def gives_a_reason(self, line: str, opened_by: str, reason: str) -> None:
        """Where only a written reason goes on."""

        def give(dialog: QWidget) -> None:
            assert isinstance(dialog, ReasonDialog)
            assert not dialog.go_on.isEnabled()  # never silently
            self._qtbot.keyClicks(dialog.reason, reason)
            dialog.go_on.setFocus()
            self._qtbot.keyClick(dialog.go_on, Qt.Key.Key_Space)

        self._with_the_form(give, lambda: self._press_beside(line, opened_by))

    def goes_to(self, place: Place) -> None:
        """As a line of another page would bring it up."""
        self.window.go_to(place)
        self._rest()

    def chooses_the_step(self, title: str) -> None:
        """A bar of the schedule."""
        panes = [one for one in self.window.findChildren(SchedulePane) if one.isVisible()]
        view = panes[0].view
        assert view is not None
        panes[0].choose(next(one.id for one in view.steps if one.title == title))
        self._rest()

    def looks_up(self, words: str) -> None:
        """Typed into "Go to", and the first answer opened."""
        field = self.window.findChildren(GoToField)[0]
        field.setFocus()
        self._qtbot.keyClicks(field, words)
        self._qtbot.keyClick(field, Qt.Key.Key_Return)
        self._rest()

    def has_copied(self) -> str:
        return QApplication.clipboard().text()

    def turns_to(self, tab: str) -> None:
        """A tab of the open page."""
        bars = [one for one in self.window.findChildren(QTabBar) if one.isVisible()]
        bar, at = next(
            (bar, at) for bar in bars for at in range(bar.count()) if bar.tabText(at).replace("&", "") == tab
        )
        bar.setCurrentIndex(at)
        self._rest()

    def undoes(self) -> None:
        self._step("Undo: ")

    def redoes(self) -> None:
        self._step("Redo: ")

    def changes(self, command: str) -> None:
        """By the menu: "Other units (US customary, SI)", "Light or dark paper"."""
        action = next(one for one in self.window.actions() if one.text() == command)
        action.trigger()
        self._rest()

    # forms

    def fills_in(self, opened_by: str, answers: Answers, photo: Path | None = None) -> None:
        """Press what opens a form, add a photo, answer the fields by their names, record."""

        def fill(dialog: QWidget) -> None:
            if photo is not None:
                self._picks(photo)
                self._press_in(dialog, "Add photos …")
            self._fill(dialog, answers)

        self._with_the_form(fill, lambda: self._press_in(self.window, opened_by))

    def is_asked_why_and_leaves_it(self, opened_by: str, answers: Answers) -> str:
        """Fill in a form that goes past a shut hold, give no reason, put it aside. Returns what was asked."""
        asked: list[str] = []

        def leave() -> None:
            dialog = QApplication.activeModalWidget()
            if not isinstance(dialog, ReasonDialog):
                QTimer.singleShot(DIALOG_MS, leave)
                return
            asked.extend(one.text() for one in dialog.findChildren(QLabel))
            dialog.reject()

        def fill(dialog: QWidget) -> None:
            QTimer.singleShot(DIALOG_MS, leave)
            self._fill(dialog, answers)

        self._with_the_form(fill, lambda: self._press_in(self.window, opened_by))
        self.troubles.clear()
        return " ".join(asked)

    def files(self, paper: Path, answers: Answers) -> None:
        """Through the form of the page of papers."""
        self.opens_the_page("Papers & photos")
        self._picks(paper)
        self.fills_in("File a paper …", answers)

    def goes_on_for_a_reason(self, reason: str) -> None:
        def give(dialog: QWidget) -> None:
            assert isinstance(dialog, ReasonDialog)
            assert not dialog.go_on.isEnabled()  # never silently
            dialog.reason.setPlainText(reason)
            self._qtbot.mouseClick(dialog.go_on, Qt.MouseButton.LeftButton)

        self._with_the_form(give, lambda: self._press_in(self.window, "Go on for a reason …"))

    def makes_the_packet(self, title: str) -> str:
        """Choose it, make it, read it; returns its words."""
        from retrofit_desk.desk.pages.packets import PacketsPage

        self.opens_the_page("Packets")
        (page,) = self.window.findChildren(PacketsPage)
        self._qtbot.waitUntil(lambda: bool(page.picker.rows), timeout=PATIENCE_MS)
        row = next(one for one in page.picker.rows if one.line.title == title)
        self._qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
        self.presses("Make PDF")
        self._qtbot.waitUntil(lambda: bool(page.made.rows), timeout=PATIENCE_MS)
        (made,) = (self.window.desk.project.path / "packets").glob("*.pdf")
        return "\n".join(page.extract_text() for page in PdfReader(made).pages)

    # inside

    def _hear(self, line: str, needs_owner: bool) -> None:
        (self.troubles if needs_owner else self.told).append(line)

    def _rest(self) -> None:
        QApplication.processEvents()
        self._qtbot.waitUntil(lambda: not self.window.desk.jobs.running, timeout=PATIENCE_MS)
        QApplication.processEvents()

    def _press_in(self, place: QWidget, words: str) -> None:
        buttons = [one for one in place.findChildren(QAbstractButton) if one.isVisibleTo(place)]
        fits = [one for one in buttons if one.text() == words]
        assert fits, f"no button “{words}” among {[one.text() for one in buttons]}"
        assert fits[0].isEnabled()
        self._qtbot.mouseClick(fits[0], Qt.MouseButton.LeftButton)

    def _fill(self, dialog: QWidget, answers: Answers) -> None:
        assert isinstance(dialog, FormDialog)
        for name, answer in answers.items():
            _answer(_named(dialog, name), answer)
        self._press_in(dialog, "Record")
        if dialog.isVisible():
            self.troubles += [one.text() for one in dialog.findChildren(QLabel) if one.text()]
            dialog.reject()

    def _press_beside(self, line: str, words: str) -> None:
        rows = [one for one in self.window.findChildren(LineRow) if one.isVisible()]
        buttons = [
            button
            for row in rows
            if line in row.accessibleName()
            for button in row.findChildren(QAbstractButton)
            if button.text() == words
        ]
        assert buttons, f"no “{words}” beside “{line}” among {[one.accessibleName() for one in rows]}"
        buttons[0].setFocus()
        self._qtbot.keyClick(buttons[0], Qt.Key.Key_Space)

    def _step(self, name: str) -> None:
        button = next(
            one for one in self.window.findChildren(QAbstractButton) if one.accessibleName().startswith(name)
        )
        self._qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        self._rest()

    def _picks(self, path: Path) -> None:
        self._monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_words: ([str(path)], ""))

    def _with_the_form(self, fill: Callable[[QWidget], None], opens: Callable[[], None]) -> None:
        """A form waits for its answers, so they are given from a timer while it is open."""
        failed: list[BaseException] = []
        over: list[bool] = []

        def look() -> None:
            dialog = QApplication.activeModalWidget()
            if over:
                return
            if dialog is None:
                QTimer.singleShot(DIALOG_MS, look)
                return
            try:
                fill(dialog)
            except BaseException as error:
                failed.append(error)
                dialog.close()

        QTimer.singleShot(DIALOG_MS, look)
        try:
            opens()
        finally:
            over.append(True)
        if failed:
            raise failed[0]
        self._rest()


def _named(dialog: QWidget, name: str) -> QWidget:
    found = [one for one in dialog.findChildren(QWidget) if one.accessibleName() == name]
    assert found, (
        f"no field “{name}” in {sorted({one.accessibleName() for one in dialog.findChildren(QWidget)})}"
    )
    return found[0]


def _answer(widget: QWidget, answer: str | bool) -> None:
    match widget:
        case StatedField():
            widget.field.setFocus()
            widget.field.setText(str(answer))
            widget.field.editingFinished.emit()
        case QComboBox():
            row = widget.findText(str(answer), Qt.MatchFlag.MatchContains)
            assert row >= 0, f"no “{answer}” in {[widget.itemText(i) for i in range(widget.count())]}"
            widget.setCurrentIndex(row)
        case QCheckBox():
            widget.setChecked(bool(answer))
        case QLineEdit():
            widget.setText(str(answer))
        case QPlainTextEdit():
            widget.setPlainText(str(answer))
        case _:
            raise AssertionError(f"{type(widget).__name__} cannot be answered")
