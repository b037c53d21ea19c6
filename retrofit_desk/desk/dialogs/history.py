"""The history: every step, what it changed, the record as it stood then, and one row put back."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QSplitter, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.services.past import ChangedRow, PastLine, PastService
from retrofit_desk.values.dates import day_text

SHOWN_COLUMNS = 6
COLUMNS: tuple[Column[PastLine], ...] = (
    Column("When", lambda line: f"{day_text(line.at.date())}, {line.at:%H:%M}", lambda line: line.action_id),
    Column("What", lambda line: line.title, is_strong=True),
    Column("How", lambda line: line.how),
)


class HistoryDialog(QDialog):
    """All lines, or those of one thing. `look_after` is the line after which the record is to be seen."""

    def __init__(self, desk: Desk, parent: QWidget | None, of: tuple[str, int, str] | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("History" if of is None else f"History of {of[2]}")
        self._desk, self._of = desk, of
        self._past = desk.service(PastService)
        self.look_after: PastLine | None = None
        self.table: RecordTable[PastLine] = RecordTable(desk, "History", COLUMNS)
        self.changes = StackedList(desk, "What changed", "Choose a line to see what it changed.")
        pane = ScrollPane()
        pane.column.addWidget(self.changes)
        pane.column.addStretch(1)
        halves = QSplitter(Qt.Orientation.Horizontal)
        halves.setChildrenCollapsible(False)
        halves.addWidget(self.table)
        halves.addWidget(pane)
        halves.setSizes([480, 480])
        buttons = QDialogButtonBox()
        self.look = buttons.addButton(
            "Look at the record as it stood then", QDialogButtonBox.ButtonRole.ActionRole
        )
        buttons.addButton(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        self.look.clicked.connect(self._look)
        column = QVBoxLayout(self)
        column.addWidget(halves, 1)
        column.addWidget(buttons)
        self.table.chosen.connect(self._show)
        self.resize(1000, 560)
        self.refresh()

    def refresh(self) -> None:
        lines = self._past.lines() if self._of is None else self._past.lines_of(self._of[0], self._of[1])
        self.table.set_rows(lines)
        if lines:
            self.table.select(lines[0])
        self._show(self.table.selected())

    def _show(self, line: PastLine | None) -> None:
        self.look.setEnabled(line is not None)
        rows: Sequence[ChangedRow] = ()
        if line is not None:
            rows = self._past.changed(line.action_id, self._desk.units)
        if self._of is not None:
            rows = [row for row in rows if (row.table, row.row_id) == self._of[:2]]
        self.changes.set_lines([self._row_line(row) for row in rows])

    def _row_line(self, row: ChangedRow) -> StackedLine:
        told = [_in_words(row, *column) for column in row.columns[:SHOWN_COLUMNS]]
        more = len(row.columns) - SHOWN_COLUMNS
        if more > 0:
            told.append(f"and {more} more")
        buttons: tuple[LineButton, ...] = ()
        if not self._desk.project.is_read_only:
            buttons = (LineButton("Put back", lambda: self._put_back(row)),)
        return StackedLine(f"{row.what}, {row.change}", "; ".join(told), buttons=buttons)

    def _put_back(self, row: ChangedRow) -> None:
        with self._desk.notices.caught():
            self._desk.notices.tell(f"{self._past.put_back(row)}. Undo takes it back.")
            self.refresh()

    def _look(self) -> None:
        self.look_after = self.table.selected()
        self.accept()


def _in_words(row: ChangedRow, name: str, before: str, after: str) -> str:
    """What was there and is gone, what is new, or both."""
    if row.is_new:
        return f"{name}: {after}"
    return f"{name}: {before}" if row.is_gone else f"{name}: {before} → {after}"
