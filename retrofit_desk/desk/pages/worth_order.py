"""The order of the line-up: a measure goes up or down by one place, in or out."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.measures import MeasureRow, MeasureService, measure_place
from retrofit_desk.services.worth import WorthService


class LineUpOrder(QWidget):
    """The measures of the line-up in their order; one move is one undo step."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._measures, self._worth = desk.service(MeasureService), desk.service(WorthService)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(
            SectionHeading("Order of the line-up", "each measure is worked out on what stands before it")
        )
        self.obstacle = StackedList(desk, "What stands in the way", "")
        self.order = StackedList(desk, "Order of the line-up", "No measure is in the line-up.")
        self.left_out = StackedList(desk, "Not in the line-up", "")
        self._left_out_heading = SectionHeading("Not in the line-up", "not counted in the sum")
        column.addWidget(self.obstacle)
        column.addWidget(self.order)
        column.addWidget(self._left_out_heading)
        column.addWidget(self.left_out)

    def refresh(self) -> None:
        known = self._measures.rows()
        rows = [row for row in known if row.in_line_up]
        self.order.set_lines([self._line(rows, at) for at in range(len(rows))])
        out = [row for row in known if not row.in_line_up and not row.state.is_over]
        self.left_out.set_lines([self._out(row) for row in out])
        for part in (self._left_out_heading, self.left_out):
            part.setVisible(bool(out))
        trouble = self._worth.obstacle() if rows else ""
        lines = [StackedLine("It cannot be worked out as it is lined up.", trouble, needs_owner=True)]
        self.obstacle.set_lines(lines if trouble else [])
        self.obstacle.setVisible(bool(trouble))

    def move_measure(self, measure_id: int, places: int) -> None:
        """Move a measure down (or up, with a negative number) among those of the line-up."""
        rows = self._measures.rows()
        order = [row.id for row in rows if row.in_line_up]
        before = order.index(measure_id)
        after = before + places
        if not 0 <= after < len(order):
            return
        order.insert(after, order.pop(before))
        others = [row.id for row in rows if not row.in_line_up]
        with self._desk.notices.caught():
            self._measures.set_order([*order, *others])

    def count(self, measure_id: int, is_in: bool) -> None:
        """Take a measure into the line-up, or leave it out."""
        with self._desk.notices.caught():
            self._measures.set_in_line_up(measure_id, is_in)

    def _out(self, row: MeasureRow) -> StackedLine:
        take_in = LineButton("Take in", partial(self.count, row.id, True))
        return StackedLine(row.title, aside=str(row.state), place=measure_place(row.id), buttons=(take_in,))

    def _line(self, rows: list[MeasureRow], at: int) -> StackedLine:
        row = rows[at]
        buttons = []
        if at > 0:
            buttons.append(LineButton("Up", partial(self.move_measure, row.id, -1)))
        if at + 1 < len(rows):
            buttons.append(LineButton("Down", partial(self.move_measure, row.id, 1)))
        buttons.append(LineButton("Leave out", partial(self.count, row.id, False)))
        return StackedLine(
            f"{at + 1}. {row.title}",
            aside=str(row.state),
            place=measure_place(row.id),
            buttons=tuple(buttons),
        )
