"""The answer: every headline figure with its likely range, and the way to its part."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QToolButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_answer_words as answer
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.widgets.text import rule, soft_label, wrap
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.worth_parts import worth_place
from retrofit_desk.values.errors import DeskError

WHAT, FIGURE, WHY, READ_ON = range(4)
ROWS = 3
"""Of the grid for each line: the figure, the reasons where there is little room, a rule."""
LEAST_CHARS_BESIDE = 110
"""Characters of the font that figure and reasons need beside each other."""


class AnswerPane(WorthPane):
    """One sentence, the figures, and what they rest on: what a person reads who has five minutes."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.headline = QLabel()
        self.headline.setProperty("role", "section")
        wrap(self.headline)
        self.figures = AnswerFigures(desk)
        self.add(self.headline, self.figures)

    def fill(self, look: WorthLook) -> None:
        units = self.desk.units
        self.headline.setText(answer.headline(look.sum, units))
        lines = answer.answer_lines(look.sum, look.years, look.rooms, units)
        self.figures.set_lines([*lines, *self._worked(), answer.rests_on(look.sum)])

    def _worked(self) -> list[answer.AnswerLine]:
        """What the bills say; the part of its own says why they cannot be asked."""
        try:
            return [answer.worked_line(self.desk.service(DidItWorkService).works())]
        except DeskError:
            return []


class AnswerFigures(QWidget):
    """What it is, the figure, how sure and why, and a button to read on; one line under the other.

    Where there is little room the reasons go below their figures.
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.lines: tuple[answer.AnswerLine, ...] = ()
        self._whys: list[QLabel] = []
        self._is_narrow = False
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(FIGURE, 2)

    def set_lines(self, lines: Sequence[answer.AnswerLine]) -> None:
        """Show these lines."""
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.lines, self._whys = tuple(lines), []
        for number, line in enumerate(lines):
            self._add(ROWS * number, line)
        self._place_whys()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_narrow = event.size().width() < self.fontMetrics().averageCharWidth() * LEAST_CHARS_BESIDE
        if is_narrow is not self._is_narrow:
            self._is_narrow = is_narrow
            self._place_whys()

    def _place_whys(self) -> None:
        for number, why in enumerate(self._whys):
            self._grid.removeWidget(why)
            row = ROWS * number
            if self._is_narrow:
                self._grid.addWidget(why, row + 1, WHAT, 1, READ_ON + 1)
            else:
                self._grid.addWidget(why, row, WHY, Qt.AlignmentFlag.AlignTop)
        self._grid.setColumnStretch(WHY, 0 if self._is_narrow else 5)

    def _add(self, row: int, line: answer.AnswerLine) -> None:
        what = soft_label(line.what, wraps=False)
        figure, why = QLabel(_unbroken(line.figure)), soft_label(_unbroken(line.why))
        figure.setProperty("role", "section")
        figure.setTextFormat(Qt.TextFormat.PlainText)
        wrap(figure)
        for column, label in ((WHAT, what), (FIGURE, figure)):
            self._grid.addWidget(label, row, column, Qt.AlignmentFlag.AlignTop)
        self._whys.append(why)
        button = QToolButton()
        button.setText("Read on")
        button.setProperty("flat", "true")
        button.setProperty("role", "in line")
        button.setAccessibleName(f"{line.what}: {line.figure}. Read on in {line.where}")
        button.setToolTip(line.where.heading)
        button.clicked.connect(partial(self._go, line))
        self._grid.addWidget(button, row, READ_ON, Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(rule(), row + 2, WHAT, 1, READ_ON + 1)

    def _go(self, line: answer.AnswerLine, _checked: bool = False) -> None:
        self._desk.go_to(worth_place(line.where))


def _unbroken(words: str) -> str:
    """A minus sign stays with its number when the line breaks."""
    return words.replace("−", "−\N{WORD JOINER}")
