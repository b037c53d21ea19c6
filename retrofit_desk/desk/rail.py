"""The left rail: nine pages by icon, word and key."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.icons import icon_pixmap
from retrofit_desk.desk.pages import PAGES, PageEntry
from retrofit_desk.values.place import PageKey


class RailButton(QAbstractButton):
    """One page on the rail: the chosen one is cut out of the frame down to the paper."""

    def __init__(self, entry: PageEntry, digit: int, desk: Desk) -> None:
        super().__init__()
        self.entry, self.digit, self._desk = entry, digit, desk
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setText(entry.word)
        self.setAccessibleName(f"{entry.word}, key {digit}")
        self.setToolTip(f"{entry.word} (key {digit})")

    def sizeHint(self) -> QSize:
        metrics = QFontMetricsF(self.font())
        icon = self._icon_px()
        width = icon + metrics.horizontalAdvance(self.text() + "  9") + metrics.height() * 1.9
        return QSize(round(width), round(metrics.height() * 2.0))

    def minimumSizeHint(self) -> QSize:
        return QSize(self.sizeHint().width(), round(self.sizeHint().height() * 0.7))

    def paintEvent(self, _event: QPaintEvent) -> None:
        tokens = self._desk.theme
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = self.isChecked()
        area = QRectF(self.rect())
        if chosen:
            painter.fillRect(area, QColor(tokens.paper))
        elif self.underMouse():
            painter.fillRect(area, QColor(255, 255, 255, 22))
        ink = tokens.spruce if chosen else tokens.on_frame
        icon_px, pad = self._icon_px(), QFontMetricsF(self.font()).height() * 0.55
        pixmap = icon_pixmap(self.entry.key, ink, icon_px, self.devicePixelRatioF())
        painter.drawPixmap(round(pad), round((area.height() - icon_px) / 2), pixmap)
        font = self.font()
        font.setBold(chosen)
        painter.setFont(font)
        painter.setPen(QColor(tokens.ink if chosen else tokens.on_frame))
        words = area.adjusted(pad * 1.7 + icon_px, 0, 0, 0)
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text())
        painter.setPen(QColor(tokens.soft_ink if chosen else tokens.soft_on_frame))
        digits = area.adjusted(0, 0, -pad, 0)
        painter.drawText(digits, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, str(self.digit))
        if self.hasFocus():
            painter.setPen(QPen(QColor(ink), 2))
            painter.drawRect(area.adjusted(1, 1, -1, -1))
        painter.end()

    def _icon_px(self) -> int:
        return round(QFontMetricsF(self.font()).height() * 1.2)


class Rail(QWidget):
    """All nine; Up and Down walk along it."""

    chosen = Signal(PageKey)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setObjectName("rail")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName("Pages")
        self._group = QButtonGroup(self)
        self._buttons: dict[PageKey, RailButton] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 10, 0, 10)
        column.setSpacing(2)
        for digit, entry in enumerate(PAGES, start=1):
            button = RailButton(entry, digit, desk)
            button.clicked.connect(lambda _checked=False, key=entry.key: self.chosen.emit(key))
            self._group.addButton(button)
            self._buttons[entry.key] = button
            column.addWidget(button)
        column.addStretch(1)

    def mark(self, key: PageKey) -> None:
        """Show which page is open."""
        self._buttons[key].setChecked(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        buttons = list(self._buttons.values())
        focused = next((i for i, button in enumerate(buttons) if button.hasFocus()), None)
        if step is None or focused is None:
            super().keyPressEvent(event)
            return
        buttons[(focused + step) % len(buttons)].setFocus(Qt.FocusReason.TabFocusReason)
