"""Stacked lines: what to do, what must wait, what runs out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QEnterEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.hatch import hatch_brush
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.stacked_row import StackedRow
from retrofit_desk.desk.widgets.text import soft_label, wrap
from retrofit_desk.values.place import Place
from retrofit_desk.values.quantity import count_text

WORDS_NEED = 36
"""Characters a line's words need beside its buttons."""


@dataclass(frozen=True)
class LineButton:
    """A button at the end of a line."""

    words: str
    run: Callable[[], object]


@dataclass(frozen=True)
class StackedLine:
    """One line of a stacked list.

    `title` says it, `why` gives the reason in quiet ink, `aside` stands at the right ("12 days to spare").
    Copper and the notch come with `needs_owner`. Enter or a click goes to `place`.
    """

    title: str
    why: str = ""
    aside: str = ""
    place: Place | None = None
    needs_owner: bool = False
    buttons: tuple[LineButton, ...] = ()


class LineRow(StackedRow):
    """One stacked line; picking it goes to its place."""

    def __init__(self, desk: Desk, line: StackedLine) -> None:
        super().__init__(desk, is_pickable=line.place is not None)
        self._line = line
        parts = (part.rstrip(".") for part in (line.title, line.why, line.aside) if part)
        self.setAccessibleName(". ".join(parts))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self._whole = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._whole.setContentsMargins(8, 5, 8, 5)
        self._whole.setSpacing(10)
        row = QHBoxLayout()
        row.setSpacing(10)
        self._whole.addLayout(row, 1)
        if line.needs_owner:
            row.addWidget(Notch(desk), 0, Qt.AlignmentFlag.AlignTop)
        self._said = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._said.setSpacing(10)
        self._said.addLayout(self._words(), 1)
        self._aside = QLabel(line.aside)
        self._aside.setTextFormat(Qt.TextFormat.PlainText)
        self._aside.setVisible(bool(line.aside))
        if line.aside:
            self._said.addWidget(self._aside)
            self._place_aside(beside=True)
        row.addLayout(self._said, 1)
        self._head, self._buttons = row, self._button_row()
        self._whole.addLayout(self._buttons)

    def _button_row(self) -> QHBoxLayout:
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        for button in self._line.buttons:
            made = QPushButton(button.words)
            made.setAccessibleName(f"{button.words}: {self._line.title}")
            made.clicked.connect(lambda _checked=False, run=button.run: run())
            buttons.addWidget(made, 0, Qt.AlignmentFlag.AlignTop)
        return buttons

    def minimumSizeHint(self) -> QSize:
        """As narrow as with the buttons, and what stands at the right, below the words."""
        parts = self._head.minimumSize(), self._buttons.minimumSize(), self._aside.minimumSizeHint()
        return QSize(max(part.width() for part in parts) + 16, super().minimumSizeHint().height())

    def _place_aside(self, *, beside: bool) -> None:
        """At the right of the words, or below them."""
        said = self._said
        said.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)
        said.setSpacing(10 if beside else 1)
        # beside one line of words it stands as that does, in the middle of what the buttons take
        level = Qt.AlignmentFlag.AlignTop if self._line.why else Qt.AlignmentFlag.AlignVCenter
        said.setAlignment(self._aside, level if beside else Qt.AlignmentFlag.AlignLeft)

    def resizeEvent(self, event: QResizeEvent) -> None:
        # where the words would be squeezed, the buttons go below them, and then what stands at the right
        words = self.fontMetrics().averageCharWidth() * WORDS_NEED
        aside = self._aside.sizeHint().width() if self._line.aside else 0
        buttons = self._buttons.minimumSize().width()
        beside = not self._line.buttons or event.size().width() - aside - buttons >= words
        if aside:
            self._place_aside(beside=event.size().width() - aside >= words)
        wanted = QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        if self._whole.direction() != wanted:
            self._whole.setDirection(wanted)
            self._buttons.setAlignment(Qt.AlignmentFlag.AlignTop if beside else Qt.AlignmentFlag.AlignLeft)
            self.updateGeometry()
        super().resizeEvent(event)

    def _words(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(1)
        title = QLabel(self._line.title)
        title.setTextFormat(Qt.TextFormat.PlainText)
        wrap(title)
        if self._line.needs_owner:
            title.setProperty("role", "owner")
        column.addWidget(title)
        if self._line.why:
            column.addWidget(soft_label(self._line.why))
        return column

    def pick(self) -> None:
        if self._line.place is not None:
            self._desk.go_to(self._line.place)

    def _ground(self) -> str:
        return self._desk.theme.sheet if self._is_pickable and self.underMouse() else ""

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.update()


class StackedList(QWidget):
    """Lines under each other; `nothing` is said when there are none."""

    def __init__(self, desk: Desk, name: str, nothing: str) -> None:
        super().__init__()
        self._desk, self._nothing = desk, nothing
        self.setAccessibleName(name)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self.rows: list[LineRow] = []

    def set_lines(self, lines: Sequence[StackedLine]) -> None:
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.rows = [LineRow(self._desk, line) for line in lines]
        for row in self.rows:
            self._column.addWidget(row)
        if not lines:
            self._column.addWidget(soft_label(self._nothing))


def hold_line(sentence: str, frees: str, place: Place | None, *buttons: LineButton) -> StackedLine:
    """A hold: "Not yet: don't cover ... until ...", the paper that frees it, always with the notch."""
    return StackedLine(sentence, frees, "", place, needs_owner=True, buttons=tuple(buttons))


@dataclass(frozen=True)
class RunsOut:
    """Something with an end: what, which day in words, days left of how many, what the end means."""

    what: str
    when: str
    days_left: int
    days_in_all: int
    place: Place | None = None
    needs_owner: bool = False
    why: str = ""


class RunsOutBar(QWidget):
    """A bar that shortens day by day, with its words beside it; the notch when the owner must act."""

    opened = Signal()

    def __init__(self, desk: Desk, item: RunsOut) -> None:
        super().__init__()
        self._desk, self._item = desk, item
        days = count_text(abs(item.days_left), "day")
        self._left = f"{days} left" if item.days_left >= 0 else f"ran out {days} ago"
        self.setAccessibleName(f"{item.what}, {item.when}, {self._left}")
        self.setAccessibleDescription(item.why)
        self.setToolTip(f"{item.what}: {item.when}, {self._left}. {item.why}".strip())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if item.place else Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        lines = 3.3 if self._item.why else 2.3
        return QSize(metrics.averageCharWidth() * 50, round(metrics.height() * lines))

    def minimumSizeHint(self) -> QSize:
        return QSize(self.fontMetrics().averageCharWidth() * 24, self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        tokens, item, metrics = self._desk.theme, self._item, self.fontMetrics()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        height = metrics.height()
        area = QRectF(self.rect()).adjusted(8, 2, -8, -4)
        ink = QColor(tokens.copper if item.needs_owner else tokens.ink)
        words = QRectF(area.left(), area.top(), area.width(), height * 1.2)
        right = f"{item.when} · {self._left}"
        room = area.width() - metrics.horizontalAdvance(right) - height
        if item.needs_owner:
            Notch.draw(
                painter, QRectF(area.left(), area.top() + height * 0.1, height * 0.8, height * 0.8), tokens
            )
            words.setLeft(words.left() + height * 1.1)
            room -= height * 1.1
        painter.setPen(ink)
        left_words = metrics.elidedText(item.what, Qt.TextElideMode.ElideRight, max(round(room), 0))
        painter.drawText(words, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, left_words)
        painter.setPen(QColor(tokens.soft_ink))
        painter.drawText(words, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, right)
        if item.why:
            why = metrics.elidedText(item.why, Qt.TextElideMode.ElideRight, round(words.width()))
            below = words.translated(0, height)
            painter.drawText(below, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, why)
        track = QRectF(area.left(), area.bottom() - height * 0.45, area.width(), height * 0.38)
        share = min(max(item.days_left / max(item.days_in_all, 1), 0.0), 1.0)
        filled = QRectF(track.left(), track.top(), track.width() * share, track.height())
        painter.fillRect(filled, hatch_brush(ink.name(), height * 0.32))
        painter.setPen(QPen(QColor(tokens.hatch), 1))
        painter.drawLine(track.bottomLeft(), track.bottomRight())
        painter.setPen(QPen(ink, 1.2))
        painter.drawRect(filled)
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.spruce), 2))
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))
        painter.end()

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        self._go()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._go()
        else:
            super().keyPressEvent(event)

    def _go(self) -> None:
        if self._item.place is not None:
            self.opened.emit()
            self._desk.go_to(self._item.place)
