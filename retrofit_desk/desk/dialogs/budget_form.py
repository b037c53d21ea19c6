"""What the owner means to spend, and how much is set aside for what nobody foresees."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import MoneyField, QuantityField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import Budget, WrittenBudget
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.quantity import Dimension, count_text
from retrofit_desk.values.stated import Stated, StatedValue

REMARK = (
    "Old houses hide things: 10 to 20% is common practice, no source. Change orders and prices above your "
    "own costing take from it; prices below give back."
)
WORDS = (Stated.KNOWN, Stated.UNKNOWN, Stated.EXCLUDED)


class BudgetDialog(FormDialog):
    """Two fields; the budget of each measure is its own costing on the Measures page."""

    def __init__(self, desk: Desk, parent: QWidget | None, budget: Budget) -> None:
        super().__init__(desk, parent, "budget", "Budget and contingency")
        missing = budget.project.budget.unknown + budget.project.budget.not_stated
        unsaid = f"; the costing of {count_text(missing, 'measure')} is not known" if missing else ""
        base = f"The measures are budgeted at {cents_text(budget.contingency.base_cents)}{unsaid}."
        self.body.insertWidget(0, soft_label(f"{base} {REMARK}"))
        self.meant = StatedField(MoneyField(desk, "Mean to spend in all"), WORDS)
        self.meant.set_stated(budget.meant_cents)
        self.add("Mean to spend in all", "meant", self.meant)
        share = budget.contingency.share
        self.share = StatedField(
            QuantityField(desk, "Set aside, of the budget", Dimension.SHARE, low_si=0.0, high_si=1.0), WORDS
        )
        self.share.set_stated(share if share.value is None else StatedValue(float(share.value)))
        self.add("Set aside, of the budget", "share", self.share)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 13)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        share: StatedValue[float] = self.share.stated()
        percent = share if share.value is None else StatedValue(round(share.value * 100, 6))
        self.desk.service(MoneyService).set_budget(WrittenBudget(self.meant.stated(), percent))
