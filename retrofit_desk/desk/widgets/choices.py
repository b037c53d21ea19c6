"""Flat buttons of which one is pressed: what is shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from functools import partial
from typing import Generic, TypeVar

from PySide6.QtWidgets import QButtonGroup, QToolButton, QVBoxLayout, QWidget

from retrofit_desk.desk.widgets.button_row import WrappingLayout

C = TypeVar("C", bound=StrEnum)


class ChoiceRow(QWidget, Generic[C]):
    """One button for each option; `choose` gets the one that was pressed. Wraps where there is no room."""

    def __init__(self, options: Sequence[C], chosen: C, choose: Callable[[C], None]) -> None:
        super().__init__()
        self._buttons: dict[C, QToolButton] = {}
        row, group = WrappingLayout(self), QButtonGroup(self)
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        for option in options:
            button = QToolButton()
            button.setText(option[:1].upper() + option[1:])
            button.setCheckable(True)
            button.setChecked(option is chosen)
            button.setAutoRaise(True)
            button.clicked.connect(partial(_pressed, choose, option))
            group.addButton(button)
            row.addWidget(button)
            self._buttons[option] = button

    def mark(self, option: C) -> None:
        """Press an option without telling anybody."""
        self._buttons[option].setChecked(True)


class Views(QWidget, Generic[C]):
    """Several widgets of which one is seen, chosen by the buttons above it."""

    def __init__(self, views: Sequence[tuple[C, QWidget]]) -> None:
        super().__init__()
        self._views = dict(views)
        self.seen = views[0][0]
        self._kept_to: C | None = None
        self.row = ChoiceRow([option for option, _ in views], self.seen, self.turn_to)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.row)
        for _, widget in views:
            column.addWidget(widget)
        self._show()

    def turn_to(self, option: C) -> None:
        """See another one."""
        self.seen = option
        self.row.mark(option)
        self._show()

    def keep_to(self, option: C | None) -> None:
        """See this one alone, without a choice; None gives the choice back."""
        self._kept_to = option
        self._show()

    def _show(self) -> None:
        shown = self._kept_to or self.seen
        self.row.setVisible(self._kept_to is None)
        for one, widget in self._views.items():
            widget.setVisible(one is shown)


def _pressed(choose: Callable[[C], None], option: C, _checked: bool = False) -> None:
    choose(option)
