"""The line over a kept answer that the record has left behind, with the button that makes a new one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList

TOLD_AT_ONCE = 3
"""So many changes are told before the owner asks for the rest."""


class OutOfDate(StackedList):
    """`what` is kept ("sum"), `again` the words of the button, `start` what it does."""

    def __init__(self, desk: Desk, what: str, again: str, start: Callable[[], object]) -> None:
        super().__init__(desk, f"The {what} is out of date", "")
        self._what = what
        self._again = LineButton(again, start)
        self._may_start = not desk.project.is_read_only
        self._changes: tuple[str, ...] = ()
        self.hide()

    def tell(self, changes: Sequence[str]) -> None:
        """What was changed since, in words; hidden while nothing was."""
        self._changes = tuple(changes)
        self._show(TOLD_AT_ONCE)

    def _show(self, most: int) -> None:
        self.setVisible(bool(self._changes))
        self.set_lines([self._line(most)] if self._changes else [])

    def _line(self, most: int) -> StackedLine:
        rest = len(self._changes) - most
        buttons = (self._again,) if self._may_start else ()
        if rest > 0:
            buttons = (LineButton(f"Tell {rest} more", lambda: self._show(len(self._changes))), *buttons)
        return StackedLine(
            f"This {self._what} is out of date.",
            changed_text(self._changes[:most]),
            needs_owner=True,
            buttons=buttons,
        )


def changed_text(changes: Sequence[str]) -> str:
    """`Since then: the equipment was changed, the weather was changed.`"""
    return f"Since then: {', '.join(changes).rstrip('.')}."
