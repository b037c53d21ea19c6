"""What every page of the window has in common."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import ElidedLabel
from retrofit_desk.values.place import PageKey, Place


class Page(QWidget):
    """One page, answering one question.

    A page adds its widgets to `body` once and fills them in `refresh()`. The window calls `refresh()` when
    the page is shown after the record, the units or the look have changed; a page need not listen itself.
    `head_row` is the place beside the title for a few buttons; what is added to `above` stays in view when
    the body scrolls. A page that manages its own scrolling (tables, splitters) sets `scrolls = False`.
    """

    key: ClassVar[PageKey]
    title: ClassVar[str]
    question: ClassVar[str]
    scrolls: ClassVar[bool] = True

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setAccessibleName(self.title)
        self.setAccessibleDescription(self.question)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(20, 12, 12, 8)
        outer.setSpacing(8)
        outer.addLayout(self._head())
        self.above = QVBoxLayout()
        self.above.setSpacing(8)
        outer.addLayout(self.above)
        self.body = QVBoxLayout()
        self.body.setSpacing(10)
        if self.scrolls:
            outer.addWidget(self._scroll_area(), 1)
        else:
            outer.addLayout(self.body, 1)

    def refresh(self) -> None:
        """Show the record as it now is, in the units and the look of now."""
        raise NotImplementedError

    def show_item(self, place: Place) -> None:
        """Bring one recorded thing of this page into view and select it."""

    def commands(self) -> tuple[Command, ...]:
        """The page's own commands, for the menu, the keys and the help list."""
        return ()

    def _head(self) -> QVBoxLayout:
        title = QLabel(self.title)
        title.setProperty("role", "title")
        question = ElidedLabel(self.question)
        question.setProperty("role", "soft")
        self.head_row = QHBoxLayout()
        self.head_row.setSpacing(12)
        self.head_row.addWidget(title, 0, Qt.AlignmentFlag.AlignBaseline)
        self.head_row.addWidget(question, 0, Qt.AlignmentFlag.AlignBaseline)
        self.head_row.addStretch(1)
        rule = QFrame()
        rule.setProperty("role", "rule")
        head = QVBoxLayout()
        head.setSpacing(4)
        head.addLayout(self.head_row)
        head.addWidget(rule)
        return head

    def _scroll_area(self) -> QScrollArea:
        inside = AsHighAsItsWords()
        inside.setProperty("role", "body")
        inside.setLayout(self.body)
        self.body.setContentsMargins(0, 0, 8, 0)
        self.scroll_area = QScrollArea()
        self.scroll_area.setWidgetResizable(True)
        self.scroll_area.setFrameShape(QFrame.Shape.NoFrame)
        self.scroll_area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.scroll_area.setWidget(inside)
        return self.scroll_area
