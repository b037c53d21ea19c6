"""The line over a kept answer that the record has left behind, with the button that makes a new one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtGui import QResizeEvent

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList

TOLD_AT_ONCE = 3
"""So many changes are told before the owner asks for the rest."""
LEAST_CHARS_FOR_FACTS = 100
"""In fewer characters of the font a change is told without its facts, until the owner asks for them."""


class OutOfDate(StackedList):
    """`what` is kept ("sum"), `again` the words of the button, `start` what it does."""

    def __init__(self, desk: Desk, what: str, again: str, start: Callable[[], object]) -> None:
        super().__init__(desk, f"The {what} is out of date", "")
        self._what = what
        self._again = LineButton(again, start)
        self._is_read_only, self._is_free = desk.project.is_read_only, True
        self._changes: tuple[str, ...] = ()
        self._is_narrow = self._is_asked = False
        self.hide()

    def tell(self, changes: Sequence[str]) -> None:
        """What was changed since, in words; hidden while nothing was."""
        if tuple(changes) != self._changes:
            self._is_asked = False
        self._changes = tuple(changes)
        self.setVisible(bool(changes))
        self._show()

    def set_free(self, is_free: bool) -> None:
        """Whether a new answer may be begun; while one is worked out there is no button."""
        self._is_free = is_free
        self._show()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_narrow = event.size().width() < self.fontMetrics().averageCharWidth() * LEAST_CHARS_FOR_FACTS
        if is_narrow is not self._is_narrow:
            self._is_narrow = is_narrow
            self._show()

    def _tell_all(self) -> None:
        self._is_asked = True
        self._show()

    def _show(self) -> None:
        self.set_lines([self._line()] if self._changes else [])

    def _line(self) -> StackedLine:
        told = self._changes
        if not self._is_asked:
            told = told[:TOLD_AT_ONCE]
            if self._is_narrow:
                told = tuple(change.partition(" (")[0] for change in told)
        buttons = (self._again,) if self._is_free and not self._is_read_only else ()
        if told != self._changes:
            buttons = (LineButton("Tell all that changed", self._tell_all), *buttons)
        return StackedLine(
            f"This {self._what} is out of date.", changed_text(told), needs_owner=True, buttons=buttons
        )


def changed_text(changes: Sequence[str]) -> str:
    """`Since then: the equipment was changed, the weather was changed.`"""
    return f"Since then: {', '.join(changes).rstrip('.')}."
