"""One packet on the page: whom it is for, what it needs, its pages, where it lies."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.packets_words import counts_words, made_words, sent_words
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.paper_view import PaperView
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.paperwork.contents import ReadinessLine
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.packets import PacketEntry, PacketState, SentRow
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import count_text

if TYPE_CHECKING:
    from retrofit_desk.desk.pages.packets import PacketsPage

WIDE_CHARS = 84
NOT_MADE = "Not made yet. “Make PDF” shows its pages here."


class PacketSheetPane(QWidget):
    """Left what the packet needs, right its pages as last made."""

    def __init__(self, desk: Desk, page: PacketsPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self._row: SentRow | None = None
        self._is_wide = True
        self._title = QLabel()
        self._title.setProperty("role", "section")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._for = soft_label("")
        self.about = QComboBox()
        self.about.setAccessibleName("What it is about")
        self.about.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.about.setMinimumContentsLength(18)
        self.about.activated.connect(lambda _index: self._page.choose_about(self.about.currentData()))
        self.make_button = QPushButton("Make PDF")
        self.make_button.setToolTip("Ctrl+Enter")
        self.make_button.clicked.connect(self._page.make)
        self._heading = SectionHeading("What is here and what is not")
        self.open_lines = StackedList(desk, "Not ready", "Everything is here and agrees.")
        self.had_lines = StackedList(desk, "Ready", "Nothing is here yet.")
        self.view = PaperView(desk)
        self.made = soft_label("")
        self._halves = QSplitter(Qt.Orientation.Horizontal)
        self._halves.setChildrenCollapsible(False)
        self._halves.addWidget(self._needs())
        self._pages = self._made_pages()
        self._halves.addWidget(self._pages)
        self._halves.setStretchFactor(0, 3)
        self._halves.setStretchFactor(1, 2)
        self._halves.setSizes([420, 360])
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 0, 0, 0)
        column.addWidget(self._halves)
        self.view.clear("Looking through the papers …")
        self.make_button.setEnabled(False)
        for part in (self.about, self.open_lines, self.had_lines, *self.buttons):
            part.hide()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Beside each other where both can be read, else the pages below the needs."""
        super().resizeEvent(event)
        is_wide = self.width() >= self.fontMetrics().averageCharWidth() * WIDE_CHARS
        if is_wide == self._is_wide:
            return
        self._is_wide = is_wide
        if is_wide:
            self._halves.addWidget(self._pages)
        else:
            self._needs_column.insertWidget(self._needs_column.count() - 1, self._pages)

    def show_packet(self, entry: PacketEntry, state: PacketState | None, row: SentRow | None) -> None:
        """`row`: the made packet whose pages are shown; None: not made yet."""
        for part in (self._heading, self.open_lines, self.had_lines):
            part.setVisible(state is not None)
        self._title.setText(entry.title)
        self._fill_about(entry, state)
        self.make_button.setEnabled(state is not None and not self._desk.project.is_read_only)
        self._for.setText(_for_words(state) if state is not None else entry.nothing)
        lines = state.lines if state is not None else ()
        still = [line for line in lines if line.word is not Readiness.HAVE]
        had = [line for line in lines if line.word is Readiness.HAVE]
        self.open_lines.set_lines([_line(line) for line in still])
        self.had_lines.set_lines([_line(line) for line in had])
        self._show_made(row)

    def _fill_about(self, entry: PacketEntry, state: PacketState | None) -> None:
        self.about.clear()
        for subject in entry.subjects:
            self.about.addItem(subject.title, subject.id)
        if state is not None:
            self.about.setCurrentIndex(self.about.findData(state.subject.id))
        self.about.setVisible(len(entry.subjects) > 1)
        self.about.setToolTip(self.about.currentText())

    def _show_made(self, row: SentRow | None) -> None:
        changed = (row.id if row else None) != (self._row.id if self._row else None)
        self._row = row
        for button in self.buttons:
            button.setVisible(row is not None)
        if row is None:
            self.view.clear(NOT_MADE)
            self.made.setText("")
            return
        where = f"\nIt lies in {row.saved_as.parent}." if row.saved_as is not None else ""
        self.made.setText(f"{row.title}: {made_words(row)}; {sent_words(row)}.{where}")
        self._folder.setEnabled(row.saved_as is not None)
        if row.path is None:
            self.view.clear("Its file is gone from the papers folder; the record was kept. Make it again.")
        elif changed:
            self.view.show_file(row.path, "application/pdf")

    def _needs(self) -> QScrollArea:
        inside = QWidget()
        inside.setProperty("role", "body")
        column = self._needs_column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        head.addWidget(self.make_button)
        column.addLayout(head)
        column.addWidget(self.about)
        for part in (self._for, self._heading, self.open_lines, self.had_lines):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        return area

    def _made_pages(self) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(8, 0, 0, 0)
        self.view.setMinimumHeight(self.fontMetrics().height() * 16)
        column.addWidget(self.view, 1)
        column.addWidget(self.made)
        self._folder = self._button("Open folder", self._page.open_folder)
        copy = self._button("Save a copy …", self._page.save_copy)
        sent = self._button("Note as sent …", self._page.note_sent)
        self.buttons = (self._folder, copy, sent)
        row = QHBoxLayout()
        for button in self.buttons:
            row.addWidget(button)
        row.addStretch(1)
        column.addLayout(row)
        return inside

    def _button(self, words: str, run: Callable[[SentRow], None]) -> QPushButton:
        button = QPushButton(words)
        button.clicked.connect(partial(self._run, run))
        return button

    def _run(self, run: Callable[[SentRow], None], _checked: bool = False) -> None:
        if self._row is not None:
            run(self._row)


def _for_words(state: PacketState) -> str:
    due = f"; due {day_text(state.subject.due_on)}" if state.subject.due_on is not None else ""
    things = count_text(len(state.lines), "thing")
    return f"For {state.subject.reader}{due}. It needs {things}: {counts_words(state.ready)}."


def _line(line: ReadinessLine) -> StackedLine:
    needs_owner = line.word is not Readiness.HAVE
    return StackedLine(
        line.need, "\n".join(line.told), str(line.word), place=line.place, needs_owner=needs_owner
    )
