"""The form of a utility's bill or a delivery, new or to be corrected."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FieldEmpty
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.bill_entry import BillEntryService, BillKind, WrittenBill
from retrofit_desk.services.meters import MeterSheet
from retrofit_desk.services.papers import PaperService
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import Stated, StatedValue

HOW = (
    "A bill runs from one reading to the next; a delivery from the last fill to this one. “To” is the first "
    "day of the next."
)


class UtilityBillDialog(FormDialog):
    """Dates, use, cost, and the days on which nobody was there; `bill_id` none for a new one."""

    def __init__(self, desk: Desk, parent: QWidget | None, meter: MeterSheet, bill_id: int | None) -> None:
        what = f"Enter a bill: {meter.name}" if bill_id is None else f"Change a bill: {meter.name}"
        super().__init__(desk, parent, f"utility-bill:{meter.id}:{bill_id or 'new'}", what)
        self._entry = desk.service(BillEntryService)
        self._meter_id, self._bill_id = meter.id, bill_id
        today = desk.service(PaperService).today()
        self.start, self.end = DateField(desk, "From", today), DateField(desk, "To", today)
        self.kind = QComboBox()
        for kind in BillKind:
            self.kind.addItem(str(kind), kind)
        self.use = StatedField(QuantityField(desk, f"Use, {meter.unit}", Dimension.PLAIN, low_si=0.0))
        self.exported = QuantityField(desk, f"Fed in, {meter.unit}", Dimension.PLAIN, low_si=0.0)
        self.cost = StatedField(MoneyField(desk, "Cost"))
        self.away = QuantityField(desk, "Days away", Dimension.PLAIN, low_si=0.0, decimals=0)
        for words, name, widget in (
            ("From", "start", self.start),
            ("To", "end", self.end),
            ("Kind", "kind", self.kind),
            (f"Use, {meter.unit}", "use", self.use),
            (f"Fed in, {meter.unit}", "exported", self.exported),
            ("Cost", "cost", self.cost),
            ("Days away", "away", self.away),
        ):
            self.add(words, name, widget)
        self.body.addWidget(soft_label(HOW))
        self.body.addStretch(1)
        self._show(self._first())
        self.begin()

    def record(self) -> None:
        start, end = self.start.value(), self.end.value()
        if start is None or end is None:
            empty = "From" if start is None else "To"
            raise FieldEmpty("this cannot be left empty", where=empty, do="type the date on the bill")
        written = WrittenBill(
            start,
            end,
            self.kind.currentData(),
            self.use.stated(),
            self.exported.value(),
            self.cost.stated(),
            round(self.away.value() or 0.0),
        )
        if self._bill_id is None:
            self._entry.enter(self._meter_id, written)
        else:
            self._entry.change(self._bill_id, written)

    def _first(self) -> WrittenBill | None:
        """What stands in the form before anything is typed; None for a meter without a bill."""
        if self._bill_id is not None:
            return self._entry.written(self._bill_id)
        self.kind.setCurrentIndex(self.kind.findData(self._entry.usual_kind(self._meter_id)))
        self.start.set_value(self._entry.next_start(self._meter_id))
        self.cost.set_stated(StatedValue(None, Stated.NOT_STATED))
        return None

    def _show(self, written: WrittenBill | None) -> None:
        if written is None:
            return
        self.start.set_value(written.period_start)
        self.end.set_value(written.period_end)
        self.kind.setCurrentIndex(self.kind.findData(written.kind))
        self.use.set_stated(written.quantity)
        self.exported.set_value(written.exported)
        self.cost.set_stated(written.cost_cents)
        self.away.set_value(float(written.days_away) if written.days_away else None)
