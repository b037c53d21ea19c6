"""The register of measures: stacked lines, each with its notched rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import LEFT, MIDDLE, RIGHT, Canvas
from retrofit_desk.desk.pictures.notched_rule import draw_notched_rule, rule_state
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.stacked_row import StackedRow
from retrofit_desk.services.measures import MeasureRow
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.stated import StatedValue

BEFORE_END = ("idea", "priced", "committed", "under way", "in place", "signed off", "proven")


def cost_words(cost_cents: StatedValue[int]) -> str:
    """The cost, or the word that stands in its place."""
    return str(cost_cents.stated) if cost_cents.value is None else whole_dollars_text(cost_cents.value)


class RegisterLine(StackedRow):
    """One measure: title and cost, the rule, what waits."""

    picked = Signal(int)  # measure id

    def __init__(self, desk: Desk, row: MeasureRow) -> None:
        super().__init__(desk)
        self.row = row
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        waits = f", {row.blocked} waiting" if row.blocked else ""
        self.setAccessibleName(f"{row.title}, {row.state}, {cost_words(row.cost_cents)}{waits}")
        self.setToolTip(f"{row.title}: {row.state}{waits}")

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.averageCharWidth() * 44, round(metrics.height() * 3.2))

    def minimumSizeHint(self) -> QSize:
        return QSize(self.fontMetrics().averageCharWidth() * 26, self.sizeHint().height())

    def _draw(self, painter: QPainter) -> None:
        self._draw_row(Canvas(painter, QRectF(self.rect()).adjusted(8, 4, -8, -4), self._desk.theme))

    def _draw_row(self, canvas: Canvas) -> None:
        row, em, area = self.row, canvas.em, canvas.area
        top = QRectF(area.left(), area.top(), area.width(), em * 1.15)
        cost = cost_words(row.cost_cents)
        room = canvas.width_of(cost) + em * 0.6
        if row.blocked:
            Notch.draw(
                canvas.painter,
                QRectF(area.right() - em * 0.8, top.top() + em * 0.2, em * 0.8, em * 0.8),
                canvas.tokens,
            )
            top.setRight(top.right() - em * 1.1)
        canvas.text(top.adjusted(0, 0, -room, 0), row.title, LEFT | MIDDLE, strong=True)
        canvas.text(top, cost, RIGHT | MIDDLE, color=canvas.tokens.soft_ink)
        rule = QRectF(area.left(), top.bottom() + em * 0.15, area.width() - em * 6, em * 1.2)
        below = Canvas(canvas.painter, rule, canvas.tokens)
        state = rule_state(row.state, BEFORE_END[row.notches - 1])
        draw_notched_rule(below, replace(state, aside=""))
        word = QRectF(rule.right() + em * 0.4, rule.top() - em * 0.1, em * 5.6, em * 1.15)
        canvas.text(word, str(row.state), RIGHT | MIDDLE)

    def pick(self) -> None:
        self.picked.emit(self.row.id)


class Register(QScrollArea):
    """All measures under each other; one is chosen."""

    chosen = Signal(int)  # measure id

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.lines: list[RegisterLine] = []
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Measures")

    def set_rows(self, rows: Sequence[MeasureRow], chosen_id: int | None) -> None:
        inside = QWidget()
        inside.setProperty("role", "body")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.lines = [RegisterLine(self._desk, row) for row in rows]
        for line in self.lines:
            line.is_chosen = line.row.id == chosen_id
            line.picked.connect(self.chosen)
            column.addWidget(line)
        column.addStretch(1)
        at = self.verticalScrollBar().value()
        self.setWidget(inside)
        self.verticalScrollBar().setValue(at)

    def mark(self, measure_id: int) -> None:
        """Show which one is chosen."""
        for line in self.lines:
            line.is_chosen = line.row.id == measure_id
            line.update()
            if line.is_chosen:
                self.ensureWidgetVisible(line)
