"""Labels that never clip without saying so, rules and section headings."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget


class ElidedLabel(QLabel):
    """One line that shortens with "…" when there is no room; the whole text is its tooltip."""

    def __init__(self, text: str = "", *, mode: Qt.TextElideMode = Qt.TextElideMode.ElideRight) -> None:
        super().__init__(text)
        self._mode = mode
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def minimumSizeHint(self) -> QSize:
        return QSize(
            min(self.fontMetrics().horizontalAdvance("MMM…"), super().sizeHint().width()),
            super().minimumSizeHint().height(),
        )

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        shown = self.fontMetrics().elidedText(self.text(), self._mode, self.width())
        self.setToolTip(self.text() if shown != self.text() else "")
        self.style().drawItemText(
            painter,
            self.rect(),
            int(self.alignment()),
            self.palette(),
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )
        painter.end()


def soft_label(text: str = "", *, wraps: bool = True) -> QLabel:
    """Quiet text: reasons, sources, dates."""
    label = QLabel(text)
    label.setProperty("role", "soft")
    label.setTextFormat(Qt.TextFormat.PlainText)
    if wraps:
        wrap(label)
    return label


def wrap(label: QLabel) -> None:
    """Break its lines, as high as its width asks for; Qt would reserve the height of a narrow column."""
    label.setWordWrap(True)
    label.setMinimumHeight(1)


def rule(*, hair: bool = True) -> QFrame:
    """A drafting line across: a hairline, or the full weight under a heading."""
    frame = QFrame()
    frame.setProperty("role", "hairline" if hair else "rule")
    return frame


class SectionHeading(QWidget):
    """A heading over a rule, with an optional count and quiet remark; `row` takes a few buttons."""

    def __init__(self, title: str, remark: str = "") -> None:
        super().__init__()
        self._title = QLabel(title)
        self._title.setProperty("role", "section")
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        self._remark = soft_label(remark, wraps=False)
        self.row = QHBoxLayout()
        self.row.setSpacing(8)
        self.row.addWidget(self._title)
        self.row.addWidget(self._remark)
        self.row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.setSpacing(3)
        column.addLayout(self.row)
        column.addWidget(rule(hair=False))

    def set_title(self, title: str) -> None:
        self._title.setText(title)

    def set_remark(self, remark: str) -> None:
        self._remark.setText(remark)
