"""The forms of a machine: its plate and settings, a warranty, a service, and its taking out."""

from __future__ import annotations

from enum import StrEnum
from typing import TypeVar

from PySide6.QtWidgets import QComboBox, QPlainTextEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty, needed_text
from retrofit_desk.desk.dialogs.machine_rows import RatingRows, TieRows
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, QuantityField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.desk.widgets.ticks_field import TicksField
from retrofit_desk.services.equipment_entry import (
    FACTS_OF,
    PLATE_FACTS,
    CoverKind,
    EquipmentEntryService,
    EquipmentKind,
    EquipmentStatus,
    Fuel,
    MachineFact,
    RadiatorLayout,
)
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.machine_values import (
    MachineFacts,
    MachineUnclear,
    WrittenWarranty,
    WrittenWorkings,
)
from retrofit_desk.values.stated import StatedValue

CAUTION = (
    "Read the plate from outside; leave covers on. Gas, refrigerant and the inside of machines are for "
    "licensed people."
)
NO_FUEL = "none"
PIPED = {
    RadiatorLayout.TWO_PIPE: "with a supply and a return each",
    RadiatorLayout.SERIES_LOOP: "one after the other in a loop, in the order recorded",
    RadiatorLayout.STEAM: "for steam",
}
SERVE_ROOMS = frozenset(
    {
        EquipmentKind.FURNACE,
        EquipmentKind.BOILER,
        EquipmentKind.AIR_SOURCE_HEAT_PUMP,
        EquipmentKind.AIR_CONDITIONER,
        EquipmentKind.ELECTRIC_HEATER,
        EquipmentKind.STOVE,
        EquipmentKind.VENTILATION,
    }
)
"""Kinds of which the house model asks which rooms they reach."""
AIR_MACHINES = (EquipmentKind.AIR_SOURCE_HEAT_PUMP, EquipmentKind.AIR_CONDITIONER)
Word = TypeVar("Word", bound=StrEnum)


def word_box(words: type[Word], chosen: Word | None = None) -> QComboBox:
    """A box of the words of one kind."""
    box = QComboBox()
    box.addItems([str(one) for one in words])
    if chosen is not None:
        box.setCurrentText(str(chosen))
    return box


def key_box(choices: tuple[tuple[str, str], ...], none: str, chosen: str) -> QComboBox:
    """A box of recorded things by key; one that is chosen but gone from the record keeps its place."""
    box = QComboBox()
    box.addItem(none, "")
    for key, name in choices:
        box.addItem(name, key)
    if box.findData(chosen) < 0:
        box.addItem("one that is no longer recorded", chosen)
    box.setCurrentIndex(box.findData(chosen))
    return box


class MachineForm(FactsForm):
    """Adds a field for a day."""

    def add_day(self, words: str, name: str) -> DateField:
        field = DateField(self.desk, words, self.desk.service(EquipmentEntryService).choices().today)
        self.add(words, name, field)
        return field


class MachineDialog(MachineForm):
    """A machine as its plate, invoice and start-up sheet tell it. `machine_id` none: one more."""

    def __init__(self, desk: Desk, parent: QWidget | None, machine_id: int | None) -> None:
        self._entry = desk.service(EquipmentEntryService)
        self._sheet = self._entry.sheet(machine_id) if machine_id is not None else None
        title = f"Change {self._sheet.facts.name}" if self._sheet else "Add a machine"
        super().__init__(desk, parent, f"machine:{machine_id}", title)
        self.machine_id = machine_id
        self.effect: HoldEffect | None = None
        facts = self._sheet.facts if self._sheet else MachineFacts("", EquipmentKind.OTHER)
        self.body.insertWidget(0, soft_label(CAUTION))
        self._make_plate(facts)
        self._make_numbers(facts)
        self._make_where(facts)
        self._make_rows()
        self._make_workings()
        self._make_ties()
        self._kind.currentTextChanged.connect(lambda _word: self._show_what_belongs())
        self._show_what_belongs()
        self.resize(self.fontMetrics().averageCharWidth() * 110, self.fontMetrics().lineSpacing() * 34)
        self.begin()

    def _make_plate(self, facts: MachineFacts) -> None:
        self._name = self.add_line("Name", "name", facts.name)
        self._kind = word_box(EquipmentKind, facts.kind)
        self.add("Kind", "kind", self._kind)
        self._status = word_box(EquipmentStatus, facts.status)
        if facts.status is not EquipmentStatus.REMOVED:
            self._status.removeItem(self._status.findText(str(EquipmentStatus.REMOVED)))
        self.add("Now", "status", self._status)
        self._fuel = QComboBox()
        self._fuel.addItem(NO_FUEL, None)
        for fuel in Fuel:
            self._fuel.addItem(str(fuel), fuel)
        self._fuel.setCurrentText(str(facts.fuel) if facts.fuel else NO_FUEL)
        self.add("Runs on", "fuel", self._fuel)
        self._make = self.add_line("Maker", "make", facts.make)
        self._model = self.add_line("Model", "model", facts.model)
        self._serial = self.add_line("Serial", "serial", facts.serial)
        self._second_model = self.add_line("Model of the second half", "second_model", facts.second_model)
        self._second_serial = self.add_line("Its serial", "second_serial", facts.second_serial)

    def _make_numbers(self, facts: MachineFacts) -> None:
        heats, cools, takes, holds, charge = PLATE_FACTS
        self._heats = self._add_stated(heats, facts.heating_capacity_w)
        self._cools = self._add_stated(cools, facts.cooling_capacity_w)
        self._input = self._add_fact(takes, takes.key, facts.electric_input_w)
        self._volume = self._add_fact(holds, holds.key, facts.volume_m3)
        self._refrigerant = self.add_line("Refrigerant", "refrigerant", facts.refrigerant)
        self._charge = self._add_fact(charge, charge.key, facts.refrigerant_charge_kg)

    def _add_fact(self, fact: MachineFact, name: str, value_si: float | None) -> QuantityField:
        return self.add_quantity(
            fact.words, name, fact.dimension, value_si, low_si=fact.low_si, high_si=fact.high_si
        )

    def _add_stated(self, fact: MachineFact, value: StatedValue[float]) -> StatedField:
        return self.add_stated(
            fact.words, fact.key, fact.dimension, value, low_si=fact.low_si, high_si=fact.high_si
        )

    def _make_where(self, facts: MachineFacts) -> None:
        choices = self._entry.choices()
        self._room = choice_box(choices.rooms, "no single room")
        self._measure = choice_box(choices.measures, "was there before")
        self._firm = choice_box(choices.firms, "own work or not known")
        for words, name, box, chosen in (
            ("Room", "room", self._room, facts.room_id),
            ("Comes with", "measure", self._measure, facts.measure_id),
            ("Fitted by", "firm", self._firm, facts.installed_by_firm_id),
        ):
            box.setCurrentIndex(max(box.findData(chosen), 0))
            self.add(words, name, box)
        self._installed = self.add_day("Fitted on", "installed")
        self._installed.set_value(facts.installed_on)
        self._tested = self.add_day("Tested and running since", "tested")
        self._tested.set_value(facts.tested_on)
        self._notes = self.add_line("Notes", "notes", facts.notes)

    def _make_rows(self) -> None:
        self._ratings = RatingRows(self.desk, self._sheet.ratings if self._sheet else ())
        self._settings = RowsField(
            "Settings", ("Setting", "Value"), ("Supply water, heating",), widths=(2, 1)
        )
        for setting in self._sheet.settings if self._sheet else ():
            self._settings.add_row(setting)
        self.add("Ratings", "ratings", self._ratings)
        self.add("Set to at start-up", "settings", self._settings)

    def _make_workings(self) -> None:
        told = self._sheet.workings if self._sheet else WrittenWorkings()
        numbers = dict(told.numbers)
        own = self._sheet.facts.kind if self._sheet else None
        self._workings = {
            kind: {
                fact.key: self._add_fact(
                    fact, f"{kind}, {fact.key}", numbers.get(fact.key) if kind is own else None
                )
                for fact in facts
            }
            for kind, facts in FACTS_OF.items()
        }
        choices = self._entry.choices()
        self._heated_by = key_box(choices.heaters, "a burner of its own", told.heated_by)
        self.add("Heated by", "heated_by", self._heated_by)
        self._passes = key_box(choices.places, "outdoors", told.passes)
        self.add("Ducts pass through", "passes", self._passes)
        self._reaches = QComboBox()
        self._reaches.addItem("through the ducts", False)
        self._reaches.addItem("by units of its own in the rooms", True)
        self._reaches.setCurrentIndex(int(told.ductless))
        self.add("Reaches the rooms", "reaches", self._reaches)
        self._layout = QComboBox()
        for layout, words in PIPED.items():
            self._layout.addItem(words, layout)
        self._layout.setCurrentIndex(self._layout.findData(told.layout))
        self.add("Its radiators are piped", "layout", self._layout)
        self._served = told.serves
        self._serves = TicksField(choices.places, told.serves)
        self._serves.setAccessibleName("Rooms it serves")
        self._serves.setToolTip("None ticked: every heated room; what stands in one room serves that one")
        self.add("Serves, if not all", "serves", self._serves)

    def _make_ties(self) -> None:
        self._ties = TieRows(self.desk, self._sheet.ties if self._sheet else ())
        self.add("Where it lies", "ties", self._ties)

    def _show_what_belongs(self) -> None:
        kind = EquipmentKind(self._kind.currentText())
        for one, numbers in self._workings.items():
            for field in numbers.values():
                self.form.setRowVisible(field, one is kind)
        self.form.setRowVisible(self._heated_by, kind is EquipmentKind.WATER_HEATER)
        self.form.setRowVisible(self._passes, kind is EquipmentKind.DUCTS)
        self.form.setRowVisible(self._reaches, kind in AIR_MACHINES)
        self.form.setRowVisible(self._layout, kind is EquipmentKind.BOILER)
        self.form.setRowVisible(self._serves, kind in SERVE_ROOMS)
        self.form.setRowVisible(self._ties, kind is EquipmentKind.BORE_FIELD)

    def _told_workings(self, kind: EquipmentKind) -> WrittenWorkings:
        typed = {key: field.value() for key, field in self._workings.get(kind, {}).items()}
        return WrittenWorkings(
            tuple((key, value) for key, value in typed.items() if value is not None),
            self._heated_by.currentData() if kind is EquipmentKind.WATER_HEATER else "",
            self._passes.currentData() if kind is EquipmentKind.DUCTS else "",
            bool(self._reaches.currentData()) if kind in AIR_MACHINES else False,
            RadiatorLayout(self._layout.currentData())
            if kind is EquipmentKind.BOILER
            else RadiatorLayout.TWO_PIPE,
            self._serves.ticked() if kind in SERVE_ROOMS else self._served,
        )

    def record(self) -> None:
        facts = MachineFacts(
            name=needed_text(self._name, "Name"),
            kind=EquipmentKind(self._kind.currentText()),
            status=EquipmentStatus(self._status.currentText()),
            fuel=self._fuel.currentData(),
            make=self._make.text().strip(),
            model=self._model.text().strip(),
            serial=self._serial.text().strip(),
            second_model=self._second_model.text().strip(),
            second_serial=self._second_serial.text().strip(),
            room_id=self._room.currentData(),
            measure_id=self._measure.currentData(),
            installed_by_firm_id=self._firm.currentData(),
            installed_on=self._installed.value(),
            tested_on=self._tested.value(),
            heating_capacity_w=self._heats.stated(),
            cooling_capacity_w=self._cools.stated(),
            electric_input_w=self._input.value(),
            volume_m3=self._volume.value(),
            refrigerant=self._refrigerant.text().strip(),
            refrigerant_charge_kg=self._charge.value(),
            notes=self._notes.text().strip(),
        )
        settings = tuple((row[0], row[1]) for row in self._settings.rows() if row[0])
        self.machine_id, self.effect = self._entry.record(
            self.machine_id,
            facts,
            self._ratings.ratings(),
            settings,
            workings=self._told_workings(facts.kind),
            ties=self._ties.ties() if facts.kind is EquipmentKind.BORE_FIELD else None,
            units=self.desk.units,
        )


class WarrantyDialog(MachineForm):
    """A warranty and its registration, which many makers want within weeks."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, machine_id: int, name: str, warranty_id: int | None
    ) -> None:
        super().__init__(desk, parent, f"warranty:{machine_id}:{warranty_id}", f"Warranty: {name}")
        self._entry = desk.service(EquipmentEntryService)
        self._machine_id, self._warranty_id = machine_id, warranty_id
        known = dict(self._entry.sheet(machine_id).warranties)
        was = known.get(warranty_id or 0) or WrittenWarranty(CoverKind.PARTS)
        self.kind = word_box(CoverKind, was.kind)
        self.add("It covers", "kind", self.kind)
        self.days = [
            self.add_day(words, words) for words in ("From", "Until", "Register by", "Registered on")
        ]
        values = (was.starts_on, was.ends_on, was.register_by, was.registered_on)
        for field, day in zip(self.days, values, strict=True):
            field.set_value(day)
        self.number = self.add_line("Number of the registration", "number", was.number)
        self.paper = FileField("Its paper")
        self.add("Its paper", "paper", self.paper)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 80, self.fontMetrics().lineSpacing() * 20)
        self.begin()

    def record(self) -> None:
        starts_on, ends_on, register_by, registered_on = (field.value() for field in self.days)
        if ends_on is None and register_by is None:
            raise MachineUnclear("a warranty needs its end or the day to register by", do="type one of them")
        self._entry.put_warranty(
            self._machine_id,
            self._warranty_id,
            WrittenWarranty(
                CoverKind(self.kind.currentText()),
                starts_on,
                ends_on,
                register_by,
                registered_on,
                self.number.text(),
                self.paper.path(),
            ),
        )


class ServiceDialog(MachineForm):
    """One visit of whoever looks after the machine."""

    def __init__(self, desk: Desk, parent: QWidget | None, machine_id: int, name: str) -> None:
        super().__init__(desk, parent, f"service:{machine_id}", f"Service: {name}")
        self._machine_id = machine_id
        self.on = self.add_day("On", "on")
        self.on.set_value(desk.service(EquipmentEntryService).choices().today)
        self.by, self.what = self.add_line("By", "by", ""), self.add_line("What was done", "what", "")
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 12)
        self.begin()

    def record(self) -> None:
        on = self.on.value()
        if on is None:
            raise FieldEmpty("this cannot be left empty", where="On", do="type the day")
        entry = self.desk.service(EquipmentEntryService)
        entry.note_service(self._machine_id, on, self.by.text(), self.what.text())


class TakeOutDialog(MachineForm):
    """The day a machine left the house; while a hold keeps it in, only for a written reason."""

    def __init__(self, desk: Desk, parent: QWidget | None, machine_id: int, name: str) -> None:
        super().__init__(desk, parent, f"take-out:{machine_id}", f"Take out: {name}")
        self._machine_id = machine_id
        self.effect: HoldEffect | None = None
        entry = desk.service(EquipmentEntryService)
        holds = entry.removal_holds(machine_id)
        self.body.insertWidget(0, soft_label("\n".join((*holds, CAUTION))))
        self.on = self.add_day("Taken out on", "on")
        self.on.set_value(entry.choices().today)
        self.reason = QPlainTextEdit(self)
        self.reason.setTabChangesFocus(True)
        self.reason.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        self.reason.setVisible(bool(holds))
        if holds:
            self.add("Why all the same; it stays visible in every packet", "reason", self.reason)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 84, self.fontMetrics().lineSpacing() * 16)
        self.begin()

    def record(self) -> None:
        on = self.on.value()
        if on is None:
            raise FieldEmpty("this cannot be left empty", where="Taken out on", do="type the day")
        reason = self.reason.toPlainText().strip()
        entry = self.desk.service(EquipmentEntryService)
        self.effect = entry.take_out(self._machine_id, on, reason=reason)
