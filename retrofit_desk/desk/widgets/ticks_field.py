"""A list of which any number may be ticked."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QListWidgetItem

SHOWN_TICKS = 6
"""Lines that are seen at once; the rest scrolls."""


class TicksField(QListWidget):
    """`options`: key and words of each; keys are told in the order of the list."""

    def __init__(self, options: Iterable[tuple[str, str]], on: Iterable[str]) -> None:
        super().__init__()
        wanted = set(on)
        for key, words in options:
            item = QListWidgetItem(words)
            item.setData(Qt.ItemDataRole.UserRole, key)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if key in wanted else Qt.CheckState.Unchecked)
            self.addItem(item)
        lines = min(max(self.count(), 1), SHOWN_TICKS)
        self.setFixedHeight(lines * (self.fontMetrics().lineSpacing() + 8) + 8)
        first = next((at for at in range(self.count()) if self._is_on(at)), 0)
        if self.count():
            self.scrollToItem(self.item(first))

    def ticked(self) -> tuple[str, ...]:
        """Those ticked."""
        return tuple(self._key(at) for at in range(self.count()) if self._is_on(at))

    def tick(self, keys: Iterable[str]) -> None:
        """These and no others."""
        wanted = set(keys)
        for at in range(self.count()):
            on = self._key(at) in wanted
            self.item(at).setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)

    def draft_text(self) -> str:
        return "\n".join(self.ticked())

    def restore_draft(self, text: str) -> None:
        self.tick(text.split("\n"))

    def _key(self, at: int) -> str:
        return str(self.item(at).data(Qt.ItemDataRole.UserRole))

    def _is_on(self, at: int) -> bool:
        return self.item(at).checkState() is Qt.CheckState.Checked
