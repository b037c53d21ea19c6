"""The two bars that come and go: the notice above the page, the running jobs below it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.jobs import Job
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.text import ElidedLabel


class NoticeBar(QWidget):
    """The latest notice until it is put away (Esc, or the button)."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setObjectName("notice")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._notch = Notch(desk)
        self._line = QLabel()
        self._line.setWordWrap(True)
        self._line.setTextFormat(Qt.TextFormat.PlainText)
        self._line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._away = QPushButton("Put away")
        self._away.setToolTip("Esc")
        self._away.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 6, 12, 6)
        row.addWidget(self._notch)
        row.addWidget(self._line, 1)
        row.addWidget(self._away)
        desk.notices.told.connect(self.show_line)
        self.hide()

    def show_line(self, line: str, needs_owner: bool) -> None:
        self._line.setText(line)
        self.setAccessibleName(line)
        self._notch.setVisible(needs_owner)
        self.setProperty("quiet", "false" if needs_owner else "true")
        self.style().unpolish(self)
        self.style().polish(self)
        self.show()

    @property
    def line(self) -> str:
        return self._line.text()


class PastBar(QWidget):
    """Says that the window shows a day of the past; one button, or Esc, comes back."""

    def __init__(self, desk: Desk, words: str, back: Callable[[], None]) -> None:
        super().__init__()
        self.setObjectName("notice")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(words)
        line = QLabel(words)
        line.setProperty("role", "owner")
        line.setTextFormat(Qt.TextFormat.PlainText)
        today = QPushButton("Back to today")
        today.setToolTip("Esc")
        today.clicked.connect(back)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 6, 12, 6)
        row.addWidget(Notch(desk))
        row.addWidget(line, 1)
        row.addWidget(today)


class JobRow(QWidget):
    """One running job: what it is doing, how far, cancel."""

    def __init__(self, job: Job) -> None:
        super().__init__()
        self._job = job
        self._doing = ElidedLabel(job.title)
        self._bar = QProgressBar()
        self._bar.setRange(0, 1000)
        self._bar.setAccessibleName(f"Progress of: {job.title}")
        self._cancel = QPushButton("Cancel")
        self._cancel.setAccessibleName(f"Cancel: {job.title}")
        self._cancel.clicked.connect(self._stop)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 4, 12, 4)
        row.addWidget(self._doing, 3)
        row.addWidget(self._bar, 2)
        row.addWidget(self._cancel)
        job.told.connect(self._told)

    def _told(self, share: float, doing: str) -> None:
        if not self._job.is_cancelled:
            self._bar.setValue(round(share * 1000))
            self._doing.setText(f"{self._job.title}: {doing}" if doing != self._job.title else doing)

    def _stop(self) -> None:
        self._job.cancel()
        self._cancel.setEnabled(False)
        self._doing.setText(f"{self._job.title}: stopping; what was recorded before is kept")


class JobsBar(QWidget):
    """A row for each running job; gone when there is none."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setObjectName("jobs")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(0, 2, 0, 2)
        self._rows.setSpacing(0)
        desk.jobs.started.connect(self._add)
        self.hide()

    def _add(self, job: Job) -> None:
        row = JobRow(job)
        self._rows.addWidget(row)
        self.show()
        job.ended.connect(lambda: self._remove(row))

    def _remove(self, row: JobRow) -> None:
        self._rows.removeWidget(row)
        row.deleteLater()
        self.setVisible(self._rows.count() > 0)
