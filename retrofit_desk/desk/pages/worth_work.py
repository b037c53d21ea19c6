"""Working the savings sum out in the background: one sum at a time, two would work on the same years."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.jobs import Report
from retrofit_desk.services.worth import SavingsSum, WorthService


class SumWork(QObject):
    """Starts the work; cancel keeps what was there."""

    freed = Signal(bool)  # whether the next work may begin
    found = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._worth = desk, desk.service(WorthService)
        self._is_free = True

    def may_begin(self) -> bool:
        return self._is_free

    def start(self) -> None:
        """Work the sum out."""
        self._begin("Working out the savings sum", self._worth.savings, "The savings sum is worked out.")

    def start_fair_parts(self) -> None:
        """Count the fair parts of the sum that is kept."""
        self._begin("Counting fair parts", self._worth.fair_parts, "The fair parts are counted.")

    def start_every_set(self) -> None:
        """Run every set for the ladder, and the sum before them where it is out of date."""
        self._begin("Running every set", self._worth.every_set, "Every set was run.")

    def _begin(self, title: str, work: Callable[[Report], SavingsSum], told: str) -> None:
        if not self._is_free:
            return

        def done(_found: SavingsSum) -> None:
            self._desk.notices.tell(told)
            self.found.emit()

        self._set_free(False)
        job = self._desk.jobs.start(title, work, done)
        job.ended.connect(lambda: self._set_free(True))

    def _set_free(self, is_free: bool) -> None:
        self._is_free = is_free
        self.freed.emit(is_free)
