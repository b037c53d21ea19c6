"""The forms of a circuit with its load, and of the metered peak."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty, counted, needed, needed_text
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.circuit_entry import (
    CATEGORIES,
    NOT_STATED,
    CircuitEntryService,
    WrittenCircuit,
)
from retrofit_desk.values.quantity import Dimension

CAUTION = (
    "Electricity can kill. This is a record, no permission: work in the panel is for a licensed electrician, "
    "and the inspector decides what may be switched on."
)


class CircuitDialog(FactsForm):
    """A circuit as on the door of the panel, with the load it brings. `circuit_id` none: one more."""

    def __init__(self, desk: Desk, parent: QWidget | None, panel_id: int, circuit_id: int | None) -> None:
        self._entry = desk.service(CircuitEntryService)
        was = self._entry.circuit(circuit_id) if circuit_id is not None else None
        title = f"Change {was.name}" if was else "Add a circuit"
        super().__init__(desk, parent, f"circuit:{panel_id}:{circuit_id}", title)
        self._panel_id, self._circuit_id = panel_id, circuit_id
        waits = self._entry.waits(circuit_id) if circuit_id is not None else ()
        self.body.insertWidget(0, soft_label("\n".join((*waits, CAUTION))))
        choices = self._entry.choices()
        plain, current = Dimension.PLAIN, Dimension.CURRENT
        self._name = self.add_line("What hangs on it", "name", was.name if was else "")
        self._spaces = self.add_line("Spaces", "spaces", was.spaces if was else "")
        self._spaces.setPlaceholderText("12 or 14/16")
        self._breaker = self.add_quantity(
            "Breaker", "breaker", current, was.breaker_a if was else None, low_si=1.0
        )
        self._poles = self.add_quantity(
            "Poles", "poles", plain, float(was.poles) if was else 1.0, low_si=1.0, decimals=0
        )
        self._wire = self.add_line("Wire", "wire", was.wire if was else "")
        self._room = choice_box(choices.rooms, "no single room")
        self._comes = choice_box(choices.measures, "was there before")
        self._goes = choice_box(choices.measures, "stays")
        chosen = (was.room_id, was.measure_id, was.removed_by_measure_id) if was else (None, None, None)
        for words, name, box, at in (
            ("Room", "room", self._room, chosen[0]),
            ("Comes with", "comes", self._comes, chosen[1]),
            ("Goes with", "goes", self._goes, chosen[2]),
        ):
            box.setCurrentIndex(max(box.findData(at), 0))
            self.add(words, name, box)
        self._category = QComboBox()
        self._category.addItem("no line in the load calculation", "")
        for one in CATEGORIES:
            self._category.addItem(one, one)
        self._category.setCurrentIndex(max(self._category.findData(was.category if was else ""), 0))
        self.add("Counted as", "category", self._category)
        self._load = self.add_stated(
            "Load by its plate", "load", Dimension.ELECTRIC_POWER, was.volt_amperes if was else NOT_STATED
        )
        self._managed = QCheckBox("A load manager holds it back while the rest needs the service")
        self._managed.setChecked(was is not None and was.is_managed)
        self.add("", "managed", self._managed)
        self._live = DateField(desk, "Switched on since", choices.today)
        self._live.set_value(was.live_since if was else None)
        self.add("Switched on since", "live", self._live)
        self._source = self.add_line("Source", "source", was.source if was else "")
        self._reason = QPlainTextEdit(self)
        self._reason.setTabChangesFocus(True)
        self._reason.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self._reason.setVisible(bool(waits))
        if waits:
            self.add("Why all the same", "reason", self._reason)
        self.body.addStretch(1)
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 34)
        self.begin()

    def record(self) -> None:
        told = WrittenCircuit(
            needed_text(self._name, "What hangs on it"),
            self._spaces.text(),
            needed(self._breaker),
            counted(self._poles),
            self._wire.text(),
            self._room.currentData(),
            self._comes.currentData(),
            self._goes.currentData(),
            self._load.stated(),
            self._category.currentData(),
            self._live.value(),
            self._source.text(),
            self._reason.toPlainText().strip(),
            self._managed.isChecked(),
        )
        self._entry.put(self._panel_id, self._circuit_id, told)


class PeakDialog(FactsForm):
    """The highest demand of a year as the meter or the utility tells it."""

    def __init__(self, desk: Desk, parent: QWidget | None, panel_id: int) -> None:
        super().__init__(desk, parent, f"peak:{panel_id}", "Metered peak")
        self._entry, self._panel_id = desk.service(CircuitEntryService), panel_id
        self.body.insertWidget(
            0, soft_label("The utility can tell the highest demand of the last twelve months. " + CAUTION)
        )
        self._peak = self.add_quantity("Highest demand", "peak", Dimension.ELECTRIC_POWER, None, low_si=0.0)
        self._on = DateField(desk, "On", self._entry.choices().today)
        self.add("On", "on", self._on)
        self._source = self.add_line("Source", "source", "")
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 80, self.fontMetrics().lineSpacing() * 14)
        self.begin()

    def record(self) -> None:
        on = self._on.value()
        if on is None:
            raise FieldEmpty("this cannot be left empty", where="On", do="type the day")
        self._entry.put_peak(self._panel_id, needed(self._peak), on, self._source.text())
