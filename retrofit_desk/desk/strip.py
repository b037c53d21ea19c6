"""The top strip: project, undo and redo, go-to, units, light or dark, and when all was last kept."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QToolButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.go_to import GoToField
from retrofit_desk.desk.icons import icon
from retrofit_desk.desk.theme import Tone
from retrofit_desk.desk.widgets.text import ElidedLabel
from retrofit_desk.values.quantity import Units


class Strip(QWidget):
    """A row of quiet controls; what they do is in the window's table of commands."""

    asked = Signal(str)  # key of a command

    def __init__(self, desk: Desk, actions: dict[str, QAction]) -> None:
        super().__init__()
        self.setObjectName("strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._desk = desk
        self._name = ElidedLabel()
        self._name.setProperty("role", "section")
        self._name.setTextFormat(Qt.TextFormat.PlainText)
        self._undo, self._redo = self._button(actions["undo"]), self._button(actions["redo"])
        self.go_to = GoToField(desk)
        self._units, self._tone = self._button(actions["units"]), self._button(actions["tone"])
        self._kept = ElidedLabel()
        self._kept.setProperty("role", "soft")
        self._kept.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._kept.setAccessibleName("Last saved and backed up")
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 6, 12, 6)
        row.setSpacing(6)
        row.addWidget(self._name, 3)
        row.addWidget(self._undo)
        row.addWidget(self._redo)
        row.addWidget(self.go_to, 4)
        row.addWidget(self._units)
        row.addWidget(self._tone)
        row.addWidget(self._kept, 5)

    def refresh(self, name: str, undo_title: str, redo_title: str, kept: str) -> None:
        """Show what can be undone by its title, and the other readings of the moment."""
        tokens = self._desk.theme
        side = round(self.fontMetrics().height() * 1.1)
        for button in (self._undo, self._redo, self._tone):
            button.setIconSize(QSize(side, side))
        self._name.setText(name)
        self._name.setAccessibleName(f"Project {name}")
        for button, word, title in ((self._undo, "Undo", undo_title), (self._redo, "Redo", redo_title)):
            button.setIcon(icon(word.lower(), tokens.ink if title else tokens.hatch))
            button.setEnabled(bool(title))
            button.setToolTip(f"{word}: {title}" if title else f"Nothing to {word.lower()}")
            button.setAccessibleName(button.toolTip())
        us = self._desk.units is Units.US
        self._units.setText("US units" if us else "SI units")
        self._units.setToolTip(f"Change to {Units.SI if us else Units.US} units")
        dark = tokens.tone is Tone.DARK
        self._tone.setIcon(icon("light" if dark else "dark", tokens.ink))
        self._tone.setToolTip("Change to light paper" if dark else "Change to dark paper")
        self._tone.setAccessibleName(self._tone.toolTip())
        self._kept.setText(kept)

    def _button(self, action: QAction) -> QToolButton:
        button = QToolButton()
        button.setProperty("flat", "true")
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        button.clicked.connect(action.trigger)
        return button
