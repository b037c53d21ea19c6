"""Several short lines of the same kind: products, settings, tests; a new one opens by itself."""

from __future__ import annotations

import json
from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QWidget


class RowsField(QWidget):
    """A small grid of text fields under headings; Tab goes through it, no mouse is needed."""

    changed = Signal()

    def __init__(
        self,
        name: str,
        headings: Sequence[str],
        hints: Sequence[str] = (),
        *,
        widths: Sequence[int] = (),
    ) -> None:
        """`widths`: how the columns share the room; equal when none are given."""
        super().__init__()
        self._name, self._headings, self._hints = name, tuple(headings), tuple(hints)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(3)
        for column, heading in enumerate(headings):
            label = QLabel(heading)
            label.setProperty("role", "soft")
            self._grid.addWidget(label, 0, column)
            self._grid.setColumnStretch(column, 1 if column else 2)
            self._grid.setColumnStretch(column, widths[column] if widths else 1)
        self._rows: list[list[QLineEdit]] = []
        self.setAccessibleName(name)
        self._open_row()

    def rows(self) -> list[list[str]]:
        """What is typed, line by line; empty lines are left out."""
        typed = [[cell.text().strip() for cell in row] for row in self._rows]
        return [row for row in typed if any(row)]

    def add_row(self, texts: Sequence[str]) -> None:
        """Fill the open line."""
        for cell, text in zip(self._rows[-1], texts, strict=False):
            cell.setText(text)
            cell.setCursorPosition(0)
        self._open_if_used()

    def draft_text(self) -> str:
        rows = self.rows()
        return json.dumps(rows, ensure_ascii=False) if rows else ""

    def restore_draft(self, text: str) -> None:
        for row in self._rows:
            for cell in row:
                cell.clear()
        for texts in json.loads(text) if text else ():
            self.add_row(texts)

    def _open_row(self) -> None:
        number = len(self._rows) + 1
        row = []
        for column, heading in enumerate(self._headings):
            cell = QLineEdit()
            cell.setAccessibleName(f"{self._name} {number}, {heading}")
            if column < len(self._hints) and number == 1:
                cell.setPlaceholderText(self._hints[column])
            cell.textChanged.connect(lambda _text: self._open_if_used())
            self._grid.addWidget(cell, number, column)
            row.append(cell)
        self._rows.append(row)

    def _open_if_used(self) -> None:
        if any(cell.text().strip() for cell in self._rows[-1]):
            self._open_row()
        self.changed.emit()
