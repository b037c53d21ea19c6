"""A row of flat buttons of which one is pressed: what is shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from functools import partial
from typing import TypeVar

from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QWidget

C = TypeVar("C", bound=StrEnum)


def choice_row(parent: QWidget, options: Sequence[C], chosen: C, choose: Callable[[C], None]) -> QHBoxLayout:
    """One button for each option; `choose` gets the one that was pressed."""
    row, group = QHBoxLayout(), QButtonGroup(parent)
    for option in options:
        button = QToolButton()
        button.setText(str(option).capitalize())
        button.setCheckable(True)
        button.setChecked(option is chosen)
        button.setAutoRaise(True)
        button.clicked.connect(partial(_pressed, choose, option))
        group.addButton(button)
        row.addWidget(button)
    row.addStretch(1)
    return row


def _pressed(choose: Callable[[C], None], option: C, _checked: bool = False) -> None:
    choose(option)
