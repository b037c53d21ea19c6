"""What the parts of the Worth page have in common: what they read, and how they are filled."""

from __future__ import annotations

from functools import cached_property

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.services.names import Names, NamesService
from retrofit_desk.services.worth import SavingsSum, WorthService
from retrofit_desk.services.worth_parts import WorthView
from retrofit_desk.services.worth_years import WorthYears, WorthYearsService


class WorthLook:
    """One look at the newest sum; what only some parts need is read when it is first asked for."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.found = desk.service(WorthService).latest()

    @property
    def sum(self) -> SavingsSum:
        """The sum, where a part is shown only when there is one."""
        assert self.found is not None
        return self.found

    @cached_property
    def years(self) -> WorthYears:
        return self._desk.service(WorthYearsService).of(self.sum)

    @cached_property
    def rooms(self) -> Names:
        return self._desk.service(NamesService).names()


class WorthPane(QWidget):
    """One part. It is built when it is first opened, and filled when it is seen after a change.

    One that needs the sum is not shown while there is none.
    """

    needs_sum = True

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(10)

    def add(self, *widgets: QWidget) -> None:
        for widget in widgets:
            self.column.addWidget(widget)

    def fill(self, look: WorthLook) -> None:
        """Show the record as it now is."""
        raise NotImplementedError

    def turn_to(self, view: WorthView) -> None:
        """See one of its views."""


def column_of(*widgets: QWidget) -> QWidget:
    """Widgets under each other as one."""
    whole = QWidget()
    column = QVBoxLayout(whole)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(10)
    for widget in widgets:
        column.addWidget(widget)
    return whole
