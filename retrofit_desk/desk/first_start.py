"""The first start: a sample house, a new house, or a project."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QMainWindow, QProgressBar, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.widgets.text import rule, soft_label

CHOICES = (
    (
        "sample",
        "Open the sample house",
        "An invented house in the middle of its retrofit, to look around in.",
    ),
    (
        "oil sample",
        "Open the oil house",
        "Another invented house, at the beginning: cold, two stories, an oil boiler with radiators.",
    ),
    ("new", "Describe a new house", "Floor area, year, bills and a few choices give a first savings sum."),
    ("open", "Open a project", "A folder whose name ends in .retrofit."),
)


class FirstStart(QMainWindow):
    """The ways to begin, stacked; while a project is opened, what is being done."""

    def __init__(self, choose: Callable[[str], None]) -> None:
        super().__init__()
        self.setObjectName("beginning")
        self.setWindowTitle("Retrofit Desk")
        self.buttons: dict[str, QPushButton] = {}
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(48, 36, 48, 36)
        column.setSpacing(10)
        title = QLabel("Retrofit Desk")
        title.setProperty("role", "title")
        column.addWidget(title)
        column.addWidget(soft_label("The house, the sums and the papers together."))
        column.addWidget(rule(hair=False))
        self._choices = QWidget()
        choices = QVBoxLayout(self._choices)
        choices.setContentsMargins(0, 0, 0, 0)
        for key, words, reason in CHOICES:
            button = QPushButton(words)
            button.setAccessibleDescription(reason)
            button.clicked.connect(lambda _checked=False, key=key: choose(key))
            self.buttons[key] = button
            choices.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
            choices.addWidget(soft_label(reason))
        column.addWidget(self._choices)
        self._doing = QLabel()
        self._doing.setWordWrap(True)
        self._bar = QProgressBar()
        self._bar.setAccessibleName("Progress")
        self._bar.setRange(0, 0)
        self._bar.hide()
        column.addWidget(self._doing)
        column.addWidget(self._bar)
        column.addStretch(1)
        self.setCentralWidget(middle)
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 90, metrics.lineSpacing() * 26)

    def tell(self, line: str, *, busy: bool = False) -> None:
        """What is being done, or what went wrong; the choices are put away meanwhile."""
        self._doing.setText(line)
        self._bar.setVisible(busy)
        self._choices.setVisible(not busy)
