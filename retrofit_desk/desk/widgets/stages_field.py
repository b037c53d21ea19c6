"""The staged payments of a contract, one line each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.quote_values import WrittenStage
from retrofit_desk.values.cents import cents_text, parse_cents
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.typed_date import parse_date

REMARK = (
    "A first line that waits for nothing is the deposit; the last line is the final payment. "
    "The amounts must add up to the price."
)
KEPT = "the form keeps what is typed"


class StagesField(QWidget):
    """Title, amount, what it waits for, due date."""

    def __init__(self, today: date) -> None:
        super().__init__()
        self._today = today
        self.rows = RowsField("Stages", ("Stage", "Amount", "Waits for", "Due"), widths=(4, 2, 5, 2))
        self.setFocusProxy(self.rows)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.rows)
        column.addWidget(soft_label(REMARK))

    def put(self, stages: Sequence[WrittenStage]) -> None:
        """Fill the lines in."""
        for stage in stages:
            due = day_text(stage.due_on) if stage.due_on else ""
            self.rows.add_row((stage.title, cents_text(stage.amount_cents), stage.waits_for, due))

    def stages(self) -> tuple[WrittenStage, ...]:
        """What is typed. Raises `NotASum`, `NotADate`."""
        typed = self.rows.rows()
        last = len(typed) - 1
        return tuple(
            WrittenStage(
                title=title or f"Stage {at + 1}",
                amount_cents=parse_cents(amount, where=f"Stage {at + 1}", kept=KEPT),
                waits_for=waits,
                due_on=parse_date(due, self._today, where=f"Stage {at + 1}", kept=KEPT) if due else None,
                is_deposit=at == 0 and last > 0 and not waits,
                is_final=at == last,
            )
            for at, (title, amount, waits, due) in enumerate(typed)
        )

    def draft_text(self) -> str:
        return self.rows.draft_text()

    def restore_draft(self, text: str) -> None:
        self.rows.restore_draft(text)
