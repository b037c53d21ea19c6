"""The form of a new blower-door test."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty, needed
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.services.meters import USUAL_EXPONENT, LeakageEntry, MeterService
from retrofit_desk.services.papers import PaperService
from retrofit_desk.values.quantity import Dimension

BEFORE = "before any measure"


class LeakageTestDialog(FactsForm):
    """Date, flow at 50 Pa, the tested volume, the state of the house."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "leakage-test", "Record a leakage test")
        today = desk.service(PaperService).today()
        self._day = DateField(desk, "Tested on", today)
        self._day.set_value(today)
        self.add("Tested on", "day", self._day)
        self._flow = self.add_quantity("Flow at 50 Pa", "flow", Dimension.AIR_FLOW, None, low_si=0.0)
        self._volume = self.add_quantity("Tested volume", "volume", Dimension.VOLUME, None, low_si=0.0)
        self._exponent = self.add_quantity(
            "Flow exponent", "exponent", Dimension.PLAIN, USUAL_EXPONENT, low_si=0.45
        )
        self._after = QComboBox()
        self._after.addItem(BEFORE, None)
        for measure_id, title in desk.service(MeterService).measures():
            self._after.addItem(title, measure_id)
        self.add("After", "after", self._after)
        self._state = self.add_line("State of the house", "state", "")
        self._state.setPlaceholderText("as found; after the attic was sealed")
        self._by = self.add_line("Tested by", "by", "")
        self._notes = self.add_line("Notes", "notes", "")
        self.begin()

    def record(self) -> None:
        day = self._day.value()
        if day is None:
            raise FieldEmpty("this cannot be left empty", where="Tested on", do="type the date")
        entry = LeakageEntry(
            tested_on=day,
            flow_50pa_m3_s=needed(self._flow),
            volume_m3=self._volume.value(),
            exponent=needed(self._exponent),
            house_version=self._state.text().strip(),
            tested_by=self._by.text().strip(),
            notes=self._notes.text().strip(),
            after_measure_id=self._after.currentData(),
        )
        self.desk.service(MeterService).record_leakage(entry)
