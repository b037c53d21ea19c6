"""Shows what a file holds before anything of it is kept."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.read_in import ReadIn

REMARK = "The file itself is filed under Papers & photos. One undo takes all of it back."
REMARK_BILLS = (
    "Bills of a day that is recorded already take the place of what stands there. One undo takes it back."
)


class KeepFileDialog(QDialog):
    """The summary, and whether to keep it."""

    def __init__(self, parent: QWidget | None, name: str, found: ReadIn) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Read in {name}")
        column = QVBoxLayout(self)
        for line in (found.line, *found.about):
            label = QLabel(f"{line}.")
            label.setWordWrap(True)
            column.addWidget(label)
        column.addWidget(soft_label(REMARK_BILLS if found.kind == "bills" else REMARK))
        column.addStretch(1)
        buttons = QDialogButtonBox()
        self.keep = buttons.addButton("Keep it", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.resize(self.fontMetrics().averageCharWidth() * 78, self.sizeHint().height())


def ask_to_keep(parent: QWidget | None, name: str, found: ReadIn) -> bool:
    """Whether the owner wants it kept."""
    return bool(KeepFileDialog(parent, name, found).exec())
