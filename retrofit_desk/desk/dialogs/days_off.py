"""Days on which nobody works here, beside the public holidays."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.work_days import DaysOff, DaysOffService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.typed_date import parse_date

KEPT = "No work is planned on weekends, on these days, and on the public holidays below."


class DaysOffDialog(FormDialog):
    """One line for each stretch of days; the holidays of the year ahead stand below."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "days-off", "Days off")
        self._service = desk.service(DaysOffService)
        view = self._service.view()
        self.body.insertWidget(0, soft_label(KEPT))
        self.periods = RowsField(
            "Days off",
            ("From", "Through", "What for"),
            ("Dec 24, 2026", "Jan 1, 2027", "family"),
            widths=(2, 2, 3),
        )
        for one in view.own:
            self.periods.add_row((day_text(one.first), day_text(one.last), one.what))
        self.add("Days off", "periods", self.periods)
        self.body.addWidget(soft_label("\n".join(view.holidays)))
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 24)
        self.begin()

    def record(self) -> None:
        today = self._service.today()
        periods = []
        for first, last, what in self.periods.rows():
            begins = parse_date(first, today, where="From")
            ends = parse_date(last, today, where="Through") if last else begins
            periods.append(DaysOff(begins, ends, what))
        self._service.keep(tuple(periods))
