"""Asks for a written reason: going past a hold, reopening, dropping."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.text import soft_label

STAYS = "The reason stays visible in every packet."


class ReasonDialog(QDialog):
    """The sentence that stands in the way, and a field for why the owner goes on all the same."""

    def __init__(self, desk: Desk, parent: QWidget | None, title: str, sentence: str, remark: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        said = QLabel(sentence)
        said.setWordWrap(True)
        said.setProperty("role", "owner")
        said.setTextFormat(Qt.TextFormat.PlainText)
        head = QHBoxLayout()
        head.addWidget(Notch(desk))
        head.addWidget(said, 1)
        self.reason = QPlainTextEdit()
        self.reason.setAccessibleName("Reason")
        self.reason.setTabChangesFocus(True)
        self.reason.setPlaceholderText("Why go on all the same?")
        buttons = QDialogButtonBox()
        self.go_on = buttons.addButton(title, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.go_on.setEnabled(False)
        self.reason.textChanged.connect(lambda: self.go_on.setEnabled(bool(self.text())))
        column = QVBoxLayout(self)
        column.addLayout(head)
        column.addWidget(self.reason, 1)
        column.addWidget(soft_label(remark))
        column.addWidget(buttons)
        self.resize(self.fontMetrics().averageCharWidth() * 70, self.fontMetrics().lineSpacing() * 14)

    def text(self) -> str:
        return self.reason.toPlainText().strip()


def ask_reason(desk: Desk, parent: QWidget | None, title: str, sentence: str, remark: str) -> str | None:
    """The reason, or None when the owner leaves it."""
    dialog = ReasonDialog(desk, parent, title, sentence, remark)
    return dialog.text() if dialog.exec() else None
