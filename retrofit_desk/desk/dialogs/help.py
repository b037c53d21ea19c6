"""The help: every command with its keys, the cautions, the log."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.log import log_path

CAUTIONS = (
    (
        "Electricity",
        "Panel work, new circuits, solar and batteries can kill and can burn the house. Permits, a licensed "
        "electrician where the law asks for one, and the utility's own rules come first.",
    ),
    (
        "Gas and combustion",
        "A tighter house can pull flue gas back into the rooms. Have combustion appliances tested after air "
        "sealing; keep carbon-monoxide alarms. Only qualified people cap gas lines.",
    ),
    (
        "Structure",
        "Cutting studs, joists or rafters, deep eaves and heavy cladding need someone who can sign for the "
        "structure.",
    ),
    ("Refrigerant", "Only certified technicians open a refrigerant circuit."),
    (
        "Lead and asbestos",
        "Old houses may hold both, and old vermiculite often does. Test before you disturb; stop when you "
        "find it.",
    ),
    ("Hot water", "Scalding and bacteria: tank temperature, mixing valve and code go together."),
    ("Ground", "Call before you dig; wells and bores need their own permits."),
)


class _HelpDialog(QDialog):
    """A titled dialog with one Close button."""

    def __init__(self, parent: QWidget, title: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.column = QVBoxLayout(self)
        self._close = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self._close.rejected.connect(self.reject)

    def finish(self, width_chars: int, height_lines: int) -> None:
        self.column.addWidget(self._close)
        metrics = self.fontMetrics()
        self.resize(metrics.averageCharWidth() * width_chars, metrics.lineSpacing() * height_lines)


class KeysDialog(_HelpDialog):
    """All commands of the window and of the open page."""

    def __init__(self, parent: QWidget, commands: Sequence[Command]) -> None:
        super().__init__(parent, "Commands and keys")
        table = QTableWidget(len(commands), 2)
        table.setAccessibleName("Commands and keys")
        table.setHorizontalHeaderLabels(["Command", "Keys"])
        table.verticalHeader().hide()
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.horizontalHeader().setStretchLastSection(True)
        for row, command in enumerate(commands):
            keys = "  or  ".join(
                QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) for key in command.keys
            )
            table.setItem(row, 0, QTableWidgetItem(command.title.replace("&&", "&")))
            table.setItem(row, 1, QTableWidgetItem(keys or "from the menu"))
        table.resizeColumnToContents(0)
        self.column.addWidget(table)
        self.finish(74, 26)


class CautionsDialog(_HelpDialog):
    """What can hurt someone, and who decides."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent, "Cautions")
        head = QLabel("Retrofit Desk warns, it never certifies. Local code and licensed people decide.")
        head.setProperty("role", "section")
        head.setWordWrap(True)
        self.column.addWidget(head)
        for subject, text in CAUTIONS:
            line = QLabel(f"<b>{subject}.</b> {text}")
            line.setTextFormat(Qt.TextFormat.RichText)
            line.setWordWrap(True)
            self.column.addWidget(line)
        self.column.addStretch(1)
        self.finish(80, 24)


class LogDialog(_HelpDialog):
    """The last lines of the log, to copy."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent, "Log")
        path = log_path()
        text = path.read_text(encoding="utf-8", errors="replace") if path.exists() else ""
        self.column.addWidget(QLabel(str(path)))
        lines = QPlainTextEdit("\n".join(text.splitlines()[-400:]) or "Nothing has gone wrong so far.")
        lines.setReadOnly(True)
        lines.setAccessibleName("Log")
        self.column.addWidget(lines)
        self.finish(100, 30)
