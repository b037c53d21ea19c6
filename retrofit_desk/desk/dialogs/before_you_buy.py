"""The sizes of one measure, to hold an offer against."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.sizing import BY, SizeLine, SizingService, SizingSheet, Verdict

STOPS = (Verdict.SHORT, Verdict.BEYOND, Verdict.UNKNOWN)
"""Verdicts that ask for the owner."""


class BeforeYouBuyDialog(QDialog):
    """What is needed, what is recorded, and how they stand; ready for the printer."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: SizingSheet) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Before you buy: {sheet.title}")
        self._desk, self.sheet = desk, sheet
        pane = ScrollPane()
        for name, lines in sheet.parts():
            self._stack(pane, name, [_stacked(line) for line in lines])
        self._stack(pane, "Take care", [StackedLine(words) for words in sheet.cautions])
        self._stack(pane, BY, [StackedLine(rule, of) for rule, of in sheet.rules()])
        pane.column.addStretch(1)
        save, close = QPushButton("Page for the printer …"), QPushButton("Close")
        save.clicked.connect(self.save)
        close.clicked.connect(self.reject)
        close.setDefault(True)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        buttons.addWidget(save)
        buttons.addWidget(close)
        column = QVBoxLayout(self)
        column.addWidget(soft_label(sheet.design_day))
        column.addWidget(pane, 1)
        column.addLayout(buttons)
        self.resize(820, 640)

    def _stack(self, pane: ScrollPane, heading: str, lines: list[StackedLine]) -> None:
        pane.column.addWidget(SectionHeading(heading))
        stack = StackedList(self._desk, heading, "")
        stack.set_lines(lines)
        pane.column.addWidget(stack)

    def save(self) -> None:
        """The sheet as PDF."""
        name = f"Before you buy, {self.sheet.title.replace('/', ' ')}.pdf"
        picked, _ = QFileDialog.getSaveFileName(self, "Before you buy", name, "PDF (*.pdf)")
        if picked:
            with self._desk.notices.caught():
                path = SizingService.write(self.sheet, Path(picked).with_suffix(".pdf"))
                self._desk.notices.tell(f"Written: {path.name}.")


def _stacked(line: SizeLine) -> StackedLine:
    words = f"{line.subject}: {line.numbers()}"
    return StackedLine(words, line.says, needs_owner=line.verdict in STOPS)
