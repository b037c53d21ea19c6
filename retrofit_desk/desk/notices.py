"""One line about what happened, what was kept and what to do; it never blocks the work."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QObject, Signal

from retrofit_desk.values.errors import DeskError

log = logging.getLogger("retrofit_desk")


OUR_FAULT = (
    "The program made a mistake of its own. What was recorded before is kept. "
    "Try the step again; the log (Help, Show the log) has the details."
)


def in_one_line(error: BaseException) -> str:
    """An error the owner can cause in its own words; a fault of ours is logged whole and said to be one."""
    if isinstance(error, DeskError):
        return error.line()
    log.error("a fault of the program", exc_info=error)
    return OUR_FAULT


class Notices(QObject):
    """Where pages leave their one line. The window shows the latest until it is put away."""

    told = Signal(str, bool)  # the line, whether it needs the owner

    def tell(self, line: str) -> None:
        """A quiet line: something was done."""
        self.told.emit(line, False)

    def warn(self, line: str) -> None:
        """A line that needs the owner, with a notch."""
        self.told.emit(line, True)

    def error(self, error: BaseException) -> None:
        """Show an error in one line, with a notch."""
        self.warn(in_one_line(error))

    @contextmanager
    def caught(self) -> Iterator[None]:
        """Around a slot's body: an error of the owner's kind becomes a line instead of a traceback."""
        try:
            yield
        except DeskError as error:
            self.error(error)
