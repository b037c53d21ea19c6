"""The forms of a hazard: what was found, and how it was settled."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField, MoneyField
from retrofit_desk.desk.widgets.file_field import FileField
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.services.hazard_entry import (
    NOT_STATED_CENTS,
    HazardEntryService,
    HazardUnclear,
    Settlement,
    WrittenFind,
)
from retrofit_desk.services.hazards import HazardLine
from retrofit_desk.services.holds import HoldEffect

LEAVE_IT = (
    "Leave it as it lies: do not sand, cut, drill or sweep. People licensed for it take samples and decide; "
    "local rules come first. This page warns, it never certifies."
)
EVERY_WORK = "every work it touches"


class FindDialog(FormDialog):
    """A hazard suspected or found. One that stops work shuts it until its clearance is filed."""

    def __init__(self, desk: Desk, parent: QWidget | None, measure_id: int | None) -> None:
        super().__init__(desk, parent, f"find:{measure_id}", "Record a find")
        self._entry = desk.service(HazardEntryService)
        self.effect: HoldEffect | None = None
        choices = self._entry.choices()
        self._stops = {key: stops for key, _name, stops in choices.kinds}
        self.body.insertWidget(0, soft_label(LEAVE_IT))
        self.kind = QComboBox()
        for key, name, _stops in choices.kinds:
            self.kind.addItem(name, key)
        self.where = QLineEdit()
        self.where.setPlaceholderText("attic over the kitchen, north sill …")
        self.room = choice_box(choices.rooms, "no single room")
        self.measure = choice_box(choices.measures, EVERY_WORK)
        self.measure.setCurrentIndex(max(self.measure.findData(measure_id), 0))
        self.state = QComboBox()
        self.state.addItems([str(one) for one in HazardState if one is not HazardState.CLEARED])
        self.seen_on = DateField(desk, "Seen on", choices.today)
        self.seen_on.set_value(choices.today)
        self.stops = QCheckBox("Work stops there until it is cleared")
        self.cost = StatedField(MoneyField(desk, "Cost to deal with it"))
        self.cost.set_stated(NOT_STATED_CENTS)
        self.notes = QLineEdit()
        self.paper = FileField("Photo, report or test result")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("What", "kind", self.kind),
            ("Where", "where", self.where),
            ("Room", "room", self.room),
            ("It concerns", "measure", self.measure),
            ("How sure", "state", self.state),
            ("Seen on", "seen_on", self.seen_on),
            ("", "stops", self.stops),
            ("Cost to deal with it", "cost", self.cost),
            ("What to do", "notes", self.notes),
            ("Photo, report or test result", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.kind.currentIndexChanged.connect(lambda _index: self._follow_kind())
        self._follow_kind()
        self.body.addStretch(1)
        self.begin()

    def choose_kind(self, key: str) -> None:
        """Begin with one hazard of the table."""
        self.kind.setCurrentIndex(max(self.kind.findData(key), 0))

    def record(self) -> None:
        seen_on = self.seen_on.value()
        if seen_on is None:
            raise HazardUnclear("no date", where="Seen on", do="say when it was seen")
        self.effect = self._entry.record(
            WrittenFind(
                kind=self.kind.currentData(),
                where=self.where.text(),
                state=HazardState(self.state.currentText()),
                seen_on=seen_on,
                measure_id=self.measure.currentData(),
                room_id=self.room.currentData(),
                stops_work=self.stops.isChecked(),
                cost_cents=self.cost.stated(),
                notes=self.notes.text(),
                paper=self.paper.path(),
            )
        )

    def _follow_kind(self) -> None:
        self.stops.setChecked(self._stops[self.kind.currentData()])


class SettleDialog(FormDialog):
    """What became of a find; work goes on by the paper of licensed people alone."""

    def __init__(self, desk: Desk, parent: QWidget | None, line: HazardLine, find_id: int) -> None:
        super().__init__(desk, parent, f"settle:{find_id}", f"Settle: {line.name}")
        self._entry, self._find_id = desk.service(HazardEntryService), find_id
        self.effect: HoldEffect | None = None
        today = self._entry.choices().today
        self.body.insertWidget(0, soft_label(f"{line.caution} Work goes on once {line.clearance}."))
        self.state = QComboBox()
        self.state.addItems([str(one) for one in HazardState if one is not HazardState.SUSPECTED])
        self.state.setCurrentText(str(HazardState.CLEARED))
        self.on = DateField(desk, "On", today)
        self.on.set_value(today)
        self.by = QLineEdit(line.settled_by)
        self.by.setPlaceholderText("laboratory or firm, and its license")
        self.paper = FileField("Its paper")
        rows: tuple[tuple[str, str, QWidget], ...] = (
            ("Now", "state", self.state),
            ("On", "on", self.on),
            ("By whom", "by", self.by),
            ("Its paper", "paper", self.paper),
        )
        for words, name, widget in rows:
            self.add(words, name, widget)
        self.body.addStretch(1)
        self.resize(self.fontMetrics().averageCharWidth() * 76, self.fontMetrics().lineSpacing() * 18)
        self.begin()

    def record(self) -> None:
        on = self.on.value()
        if on is None:
            raise HazardUnclear("no date", where="On", do="say when it was settled")
        told = Settlement(HazardState(self.state.currentText()), on, self.by.text(), self.paper.path())
        self.effect = self._entry.settle(self._find_id, told)
