"""The forms of a storey and of a room: recorded already, new, or divided off another one."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, FieldEmpty, needed, needed_text
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.house import RoomSheet
from retrofit_desk.services.house_dividing import Division, HouseDividingService
from retrofit_desk.services.house_edits import HouseEditService
from retrofit_desk.services.house_facts import ROOM_KINDS, RoomFacts
from retrofit_desk.services.house_parts import HousePartService, StoreyFacts, StoreyRow
from retrofit_desk.services.plan_shapes import Outline, Rectangle, Side, rectangle_of
from retrofit_desk.values.quantity import Dimension, show_about
from retrofit_desk.values.stated import Stated, StatedValue

USUAL_HEIGHT_M = 2.44
DOORWAY_M2 = 1.9  # common practice, no source
OTHER_SHAPE = "The room has more than four corners; its place on the plan stays as it is drawn."
NEIGHBORS = "The rooms beside it stay as they are: take out what is double where their walls are inside now."
DIVIDED = (
    "The new room gets the walls on its side; floor, ceiling and the walls across are shared by length. "
    "Windows stay in the old room where their wall is shared."
)


class StoreyDialog(FactsForm):
    """Adds a storey, or changes one."""

    def __init__(self, desk: Desk, parent: QWidget | None, storey: StoreyRow | None) -> None:
        form = "new-storey" if storey is None else f"storey:{storey.id}"
        super().__init__(
            desk, parent, form, "Add a story" if storey is None else f"Change {storey.facts.name}"
        )
        self._storey = storey
        facts = None if storey is None else storey.facts
        length = Dimension.LENGTH
        self._name = self.add_line("Name", "name", "" if facts is None else facts.name)
        self._name.setPlaceholderText("upper level, basement, attic …")
        self._level = self.add_quantity(
            "Its floor above the main floor", "level", length, None if facts is None else facts.level_m
        )
        self._level.setPlaceholderText("below it: less than 0")
        self._height = self.add_quantity(
            "Height", "height", length, USUAL_HEIGHT_M if facts is None else facts.height_m, low_si=0.0
        )
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 14)

    def record(self) -> None:
        facts = StoreyFacts(needed_text(self._name, "Name"), needed(self._level), needed(self._height))
        storey_id = None if self._storey is None else self._storey.id
        self.desk.service(HousePartService).put_storey(storey_id, facts)


class _RoomForm(FactsForm):
    """The fields of a room, its place on the plan among them."""

    def _add_place(self, shape: Rectangle | None) -> None:
        length = Dimension.LENGTH
        self._length = self.add_quantity(
            "West to east", "length", length, shape.length_m if shape else None, low_si=0.0
        )
        self._depth = self.add_quantity(
            "South to north", "depth", length, shape.depth_m if shape else None, low_si=0.0
        )
        self._west = self.add_quantity(
            "Its southwest corner, to the east of the plan's zero",
            "west",
            length,
            shape.west_m if shape else None,
        )
        self._south = self.add_quantity(
            "Its southwest corner, to the north of it", "south", length, shape.south_m if shape else None
        )

    def _typed_outline(self) -> Outline:
        """None of the four typed: not on the plan. Raises `FieldEmpty`."""
        typed = (self._west.value(), self._south.value(), self._length.value(), self._depth.value())
        if typed[2] is None and typed[3] is None:
            return ()
        west, south, length, depth = typed
        if west is None or south is None or not length or not depth:
            raise FieldEmpty(
                "its place needs two lengths and a corner", where="On the plan", do="type all four"
            )
        return Rectangle(west, south, length, depth).outline

    def _add_facts(self, facts: RoomFacts) -> None:
        self._area = self.add_quantity(
            "Floor area", "area", Dimension.AREA, facts.floor_area_m2 or None, low_si=0.0
        )
        self._height = self.add_quantity("Height", "height", Dimension.LENGTH, facts.height_m, low_si=0.0)
        self._heated, self._cooled = QCheckBox("Heated"), QCheckBox("Cooled")
        self._heated.setChecked(facts.is_heated)
        self._cooled.setChecked(facts.is_cooled)
        self.add("", "heated", self._heated)
        self.add("", "cooled", self._cooled)
        temperature = Dimension.TEMPERATURE
        self._heat_to = self.add_quantity("Heated to", "heat_to", temperature, facts.heating_set_point_c)
        self._at_night = self.add_quantity("At night", "at_night", temperature, facts.heating_setback_c)
        self._cool_to = self.add_quantity("Cooled to", "cool_to", temperature, facts.cooling_set_point_c)
        self._gain = self.add_stated(
            "Heat of people and machines", "gain", Dimension.POWER, facts.internal_gain_w
        )
        self._gain.setToolTip("What goes on in a new room was counted with the other rooms so far")
        self._air = self.add_stated(
            "Its own air change", "air", Dimension.AIR_CHANGES, facts.air_changes_per_hour
        )
        self._air.setToolTip("Only for spaces outside the blower-door volume: attic, crawl space, garage")
        self._notes = self.add_line("Notes", "notes", facts.notes)

    def _add_name(self, name: str, kind: str) -> None:
        self._name = self.add_line("Name", "name", name)
        self._kind = kind_box(kind)
        self.add("Kind", "kind", self._kind)

    def _facts(self, outline: Outline, area_m2: float) -> RoomFacts:
        return RoomFacts(
            name=needed_text(self._name, "Name"),
            kind=self._kind.currentText(),
            outline=outline,
            floor_area_m2=area_m2,
            height_m=needed(self._height),
            is_heated=self._heated.isChecked(),
            is_cooled=self._cooled.isChecked(),
            heating_set_point_c=self._heat_to.value(),
            heating_setback_c=self._at_night.value(),
            cooling_set_point_c=self._cool_to.value(),
            internal_gain_w=self._gain.stated(),
            air_changes_per_hour=self._air.stated(),
            notes=self._notes.text().strip(),
        )


class RoomDialog(_RoomForm):
    """Changes one room."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RoomSheet) -> None:
        super().__init__(desk, parent, f"room:{sheet.id}", f"Change {sheet.facts.name}")
        self._sheet = sheet
        facts = sheet.facts
        self._add_name(facts.name, facts.kind)
        self._add_facts(facts)
        shape = rectangle_of(facts.outline)
        self._has_place = shape is not None or not facts.outline
        if self._has_place:
            self._add_place(shape)
        else:
            self.body.addWidget(soft_label(OTHER_SHAPE))
        self.add_because()
        self.begin()

    def record(self) -> None:
        outline = self._typed_outline() if self._has_place else self._sheet.facts.outline
        facts = self._facts(outline, needed(self._area))
        self.desk.service(HouseEditService).change_room(self._sheet.id, facts, self.because())


class NewRoomDialog(_RoomForm):
    """Adds a room with its place on the plan."""

    def __init__(self, desk: Desk, parent: QWidget | None, storey_id: int | None = None) -> None:
        super().__init__(desk, parent, "new-room", "Add a room")
        self._parts = desk.service(HousePartService)
        self.room_id: int | None = None
        storeys = self._parts.storeys()
        self._add_name("", "other")
        self._storey = choice_box([(one.id, one.facts.name) for one in storeys])
        self._storey.setCurrentIndex(max(self._storey.findData(storey_id), 0))
        self.add("Story", "storey", self._storey)
        self._add_place(None)
        self._add_facts(self._usual())
        self._area.setPlaceholderText("empty: length times depth")
        self._faces = QCheckBox("Lay its walls, floor and ceiling by the plan, as assumed ones")
        self._faces.setChecked(True)
        self.add("", "faces", self._faces)
        self.add_because()
        self.body.addWidget(soft_label(NEIGHBORS))
        self._storey.currentIndexChanged.connect(lambda _at: self._propose_corner())
        self._propose_corner()
        self.begin()

    def record(self) -> None:
        outline = self._typed_outline()
        shape = rectangle_of(outline)
        if shape is None:
            raise FieldEmpty("a room to be drawn has two lengths", where="On the plan", do="type both")
        if self._storey.currentData() is None:
            raise FieldEmpty("a room stands on a story", where="Story", do="add a story first")
        area = self._area.value()
        facts = self._facts(outline, shape.area_m2 if area is None else area)
        self.room_id = self._parts.add_room(
            self._storey.currentData(), facts, self.because(), faces_by_plan=self._faces.isChecked()
        )

    def _usual(self) -> RoomFacts:
        return RoomFacts(
            "",
            "other",
            (),
            0.0,
            USUAL_HEIGHT_M,
            True,
            False,
            self._parts.kept_warm_at_c(),
            None,
            None,
            StatedValue(0.0),
            StatedValue(None, Stated.NOT_STATED),
            "",
        )

    def _propose_corner(self) -> None:
        """To the east of what stands on the story; to be corrected."""
        if self._storey.currentData() is not None:
            west, south = self._parts.free_corner(self._storey.currentData())
            self._west.set_value(west)
            self._south.set_value(south)


class DivideRoomDialog(FactsForm):
    """Cuts a new room off one that has four corners."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RoomSheet) -> None:
        super().__init__(desk, parent, f"divide:{sheet.id}", f"Divide {sheet.facts.name}")
        self._sheet = sheet
        self.room_id: int | None = None
        self._name = self.add_line("Name of the new room", "name", "")
        self._kind = kind_box("other")
        self.add("Kind", "kind", self._kind)
        self._side = QComboBox()
        for side in Side:
            self._side.addItem(f"along the {side} side", side)
        self.add("It lies", "side", self._side)
        self._wide = self.add_quantity("How wide it is", "wide", Dimension.LENGTH, None, low_si=0.0)
        self._wide.setPlaceholderText("from that side to the new wall")
        self._passage = self.add_quantity(
            "Open passage in the new wall", "passage", Dimension.AREA, None, low_si=0.0
        )
        doorway = show_about(DOORWAY_M2, Dimension.AREA, desk.units)
        self._passage.setPlaceholderText(f"empty: none; a doorway without a door, about {doorway}")
        self.body.addWidget(soft_label(DIVIDED))
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 20)

    def record(self) -> None:
        told = Division(
            needed_text(self._name, "Name of the new room"),
            self._kind.currentText(),
            self._side.currentData(),
            needed(self._wide),
            self._passage.value() or None,
        )
        self.room_id = self.desk.service(HouseDividingService).divide(self._sheet.id, told)


def kind_box(kind: str) -> QComboBox:
    """What a room is used as."""
    box = QComboBox()
    box.addItems(ROOM_KINDS)
    box.setCurrentText(kind)
    return box
