"""The go-to field: type any room, measure, firm, permit or serial number and open it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QListWidget, QListWidgetItem

from retrofit_desk.desk.context import Desk
from retrofit_desk.values.place import Found

SHOWN_AT_MOST = 12


class GoToField(QLineEdit):
    """A search field with a list below; Down and Up choose, Enter opens, Esc puts it away."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._found: tuple[Found, ...] = ()
        self.setPlaceholderText("Go to a room, measure, firm, permit, serial …")
        self.setAccessibleName("Go to")
        self.setClearButtonEnabled(True)
        self._list = QListWidget()
        self._list.setWindowFlags(Qt.WindowType.ToolTip)
        self._list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._list.setAccessibleName("Found")
        self._list.itemClicked.connect(lambda _item: self._open())
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(80)
        self._wait.timeout.connect(self.look_up)
        self.textEdited.connect(lambda _text: self._wait.start())
        self.installEventFilter(self)

    def look_up(self) -> None:
        """Fill the list from what is typed."""
        from retrofit_desk.services.search import SearchService

        typed = self.text().strip()
        self._list.clear()
        self._found = ()
        if typed:
            self._found = tuple(self._desk.service(SearchService).find(typed))[:SHOWN_AT_MOST]
        for found in self._found:
            self._list.addItem(QListWidgetItem(f"{found.title}   ·   {found.detail}"))
        if typed and not self._found:
            nothing = QListWidgetItem(f"Nothing called “{typed}” is recorded")
            nothing.setFlags(Qt.ItemFlag.NoItemFlags)
            self._list.addItem(nothing)
        if not typed:
            self._list.hide()
            return
        self._list.setCurrentRow(0 if self._found else -1)
        self._place_list()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self and isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.KeyPress:
                return self._key(Qt.Key(event.key()))
            if event.type() == QEvent.Type.ShortcutOverride and event.key() == Qt.Key.Key_Escape:
                event.accept()  # Esc is ours while the field has the focus, not the notice's
                return True
        if watched is self and event.type() == QEvent.Type.FocusOut:
            QTimer.singleShot(150, self._list.hide)
        return super().eventFilter(watched, event)

    def _key(self, key: Qt.Key) -> bool:
        if key in (Qt.Key.Key_Down, Qt.Key.Key_Up) and self._found:
            step = 1 if key == Qt.Key.Key_Down else -1
            self._list.setCurrentRow((self._list.currentRow() + step) % len(self._found))
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self._wait.isActive():
                self._wait.stop()
                self.look_up()
            self._open()
            return True
        if key == Qt.Key.Key_Escape:
            self._put_away()
            return True
        return False

    def _open(self) -> None:
        row = self._list.currentRow()
        if 0 <= row < len(self._found):
            place = self._found[row].place
            self._put_away()
            self._desk.go_to(place)

    def _put_away(self) -> None:
        self.clear()
        self._list.hide()
        self.clearFocus()

    def _place_list(self) -> None:
        rows = min(self._list.count(), SHOWN_AT_MOST)
        height = self._list.sizeHintForRow(0) * rows + 2 * self._list.frameWidth() + 2
        self._list.setGeometry(0, 0, max(self.width(), self.fontMetrics().averageCharWidth() * 60), height)
        self._list.move(self.mapToGlobal(QPoint(0, self.height())))
        self._list.show()
