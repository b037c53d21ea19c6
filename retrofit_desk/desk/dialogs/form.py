"""The basis of every form: it keeps a half-finished entry and says trouble in its own line."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.fields import TypedField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.desk.widgets.trouble_line import TroubleLine
from retrofit_desk.services.drafts import DraftService

KEEP_AFTER_MS = 400


@runtime_checkable
class KeepsDraft(Protocol):
    """A field of our own that can be kept half finished."""

    def draft_text(self) -> str: ...

    def restore_draft(self, text: str) -> None: ...


class FormDialog(QDialog):
    """Fields under each other, *Record*, *Put aside* and *Begin afresh*.

    Subclasses add fields with `add(words, name, widget)` and implement `record()`, which calls a service; an
    error of the owner's kind stays in the form. Whatever is typed is kept under `form` until it is recorded.
    """

    def __init__(self, desk: Desk, parent: QWidget | None, form: str, title: str) -> None:
        super().__init__(parent)
        self.desk, self._form_key = desk, form
        self.setWindowTitle(title)
        self._fields: dict[str, QWidget] = {}
        self._keep = QTimer(self)
        self._keep.setSingleShot(True)
        self._keep.setInterval(KEEP_AFTER_MS)
        self._keep.timeout.connect(self.keep_draft)
        self.form = QFormLayout()
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        inside = QWidget()
        inside.setProperty("role", "body")
        self.body = QVBoxLayout(inside)
        self.body.addLayout(self.form)
        self._scrolled = inside
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(inside)
        column = QVBoxLayout(self)
        self._brought_back = soft_label("")
        self._brought_back.hide()
        column.addWidget(self._brought_back)
        self._middle = QHBoxLayout()
        self._middle.addWidget(scroll, 3)
        column.addLayout(self._middle, 1)
        self._trouble = TroubleLine(desk)
        column.addWidget(self._trouble)
        column.addLayout(self._buttons())
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * 84, metrics.lineSpacing() * 30)

    def add(self, words: str, name: str, widget: QWidget) -> None:
        """One field with its label; `name` is what its half-finished text is kept under."""
        if not widget.accessibleName():
            widget.setAccessibleName(words)
        label = QLabel(words)
        label.setBuddy(widget)
        self.form.addRow(label, widget)
        self.watch(name, widget)

    def put_beside(self, widget: QWidget) -> None:
        """Something to look at while filling in, to the right of the fields."""
        self._middle.addWidget(widget, 2)
        self.resize(self.width() * 3 // 2, self.height())

    def watch(self, name: str, widget: QWidget) -> None:
        """Keep a field that was laid out elsewhere."""
        self._fields[name] = widget
        inner = widget.field if isinstance(widget, StatedField) else widget
        if isinstance(inner, QLineEdit):
            inner.textChanged.connect(lambda _text: self._keep.start())
        elif isinstance(inner, QPlainTextEdit):
            inner.textChanged.connect(self._keep.start)
        elif isinstance(inner, QComboBox):
            inner.currentIndexChanged.connect(lambda _index: self._keep.start())
        elif isinstance(inner, QCheckBox):
            inner.toggled.connect(lambda _on: self._keep.start())

    def begin(self) -> None:
        """Call when all fields stand: remembers them as empty and brings back a half-finished entry."""
        self._empty = self._texts()
        kept = self.desk.service(DraftService).read(self._form_key)
        for name, text in kept.items():
            if name in self._fields:
                _restore(self._fields[name], text)
        self._keep.stop()
        self._brought_back.setText("A half-finished entry was brought back. “Begin afresh” empties it.")
        self._brought_back.setVisible(bool(kept))

    def showEvent(self, event: QShowEvent) -> None:
        """No larger than the screen it opens on, whatever the text size; the keys go to the first field."""
        super().showEvent(event)
        self.resize(self.size().boundedTo(self.screen().availableSize()))
        self._go_to_first_field()

    def _go_to_first_field(self) -> None:
        """Fields are made after the buttons; without this Tab would come to them only after these."""
        at = self._scrolled.nextInFocusChain()
        while at is not None and at is not self._scrolled:
            by_tab = bool(at.focusPolicy() & Qt.FocusPolicy.TabFocus)
            if by_tab and self._scrolled.isAncestorOf(at) and at.isVisibleTo(self) and at.isEnabled():
                at.setFocus(Qt.FocusReason.OtherFocusReason)
                return
            at = at.nextInFocusChain()

    def record(self) -> None:
        """Record the entry through a service. Raises a `DeskError` to stay in the form."""
        raise NotImplementedError

    def keep_draft(self) -> None:
        """Keep what is typed, if anything is."""
        texts = self._texts()
        drafts = self.desk.service(DraftService)
        if texts == self._empty:
            drafts.drop(self._form_key)
        else:
            drafts.keep(self._form_key, texts)

    def begin_afresh(self) -> None:
        for name, text in self._empty.items():
            _restore(self._fields[name], text)
        self._keep.stop()
        self.desk.service(DraftService).drop(self._form_key)
        self._brought_back.hide()

    def accept(self) -> None:
        """Read every field, record, and forget the draft; on trouble stay, with the reason."""
        self._trouble.tell("")
        settled = [
            widget.settle()
            for widget in self._fields.values()
            if isinstance(widget, TypedField | StatedField)
        ]
        if not all(settled):
            return
        recorded = False
        with self.desk.notices.caught():
            self.record()
            recorded = True
        if recorded:
            self._keep.stop()
            self.desk.service(DraftService).drop(self._form_key)
            super().accept()

    def reject(self) -> None:
        """Put the form aside; the half-finished entry is kept."""
        self._keep.stop()
        self.keep_draft()
        super().reject()

    def _texts(self) -> dict[str, str]:
        return {name: _text(widget) for name, widget in self._fields.items()}

    def _buttons(self) -> QHBoxLayout:
        record, aside, afresh = QPushButton("Record"), QPushButton("Put aside"), QPushButton("Begin afresh")
        record.setDefault(True)
        record.clicked.connect(self.accept)
        aside.setToolTip("Close; what is typed so far is kept (Esc)")
        aside.clicked.connect(self.reject)
        afresh.clicked.connect(self.begin_afresh)
        for quiet in (aside, afresh):
            quiet.setAutoDefault(False)
        self.record_button = record
        row = QHBoxLayout()
        row.addWidget(afresh)
        row.addStretch(1)
        row.addWidget(aside)
        row.addWidget(record)
        return row


def _text(widget: QObject) -> str:
    match widget:
        case KeepsDraft():
            return widget.draft_text()
        case QLineEdit():
            return widget.text()
        case QPlainTextEdit():
            return widget.toPlainText()
        case QComboBox():
            return widget.currentText()
        case QCheckBox():
            return "yes" if widget.isChecked() else ""
    raise TypeError(f"{type(widget).__name__} cannot be kept half finished")


def _restore(widget: QObject, text: str) -> None:
    match widget:
        case KeepsDraft():
            widget.restore_draft(text)
        case QLineEdit():
            widget.setText(text)
        case QPlainTextEdit():
            widget.setPlainText(text)
        case QComboBox():
            widget.setCurrentText(text)
        case QCheckBox():
            widget.setChecked(text == "yes")
