"""The form of a face of a room: a wall, roof, ceiling, floor or inside wall, recorded already or new."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, needed, needed_text
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.services.house import RoomSheet
from retrofit_desk.services.house_edits import HouseEditService
from retrofit_desk.services.house_faces import SurfaceSheet
from retrofit_desk.services.house_facts import (
    BOUNDARIES,
    FACE_KINDS,
    TO_A_ROOM,
    TO_OUTDOORS,
    TO_THE_GROUND,
    SurfaceFacts,
)
from retrofit_desk.services.house_parts import HousePartService
from retrofit_desk.values.quantity import Dimension

NOT_RECORDED = "not recorded"
BEYOND = {
    "outdoors": "outdoors",
    "ground": "the ground",
    "room": "a heated room",
    "unheated": "an unheated room or space",
    "same temperature": "a space as warm, not of this house",
}
TILTS = {"wall": 90.0, "partition": 90.0, "ceiling": 0.0, "floor": 180.0}
"""What a face of that kind usually has; a roof has its own."""
NEW_FACE = SurfaceFacts(
    name="",
    kind="wall",
    boundary=TO_OUTDOORS,
    other_room_id=None,
    area_m2=0.0,
    azimuth_deg=None,
    tilt_deg=90.0,
    construction_id=None,
    solar_absorptance=None,
    exposed_perimeter_m=None,
    depth_below_ground_m=None,
    passage_area_m2=None,
    notes="",
)


class _FaceForm(FactsForm):
    """The fields of a face; what does not belong to what lies behind it is hidden."""

    def _add_fields(self, facts: SurfaceFacts, room_id: int) -> None:
        self._name = self.add_line("Name", "name", facts.name)
        self._kind = QComboBox()
        self._kind.addItems(FACE_KINDS)
        self._kind.setCurrentText(facts.kind)
        self.add("Kind", "kind", self._kind)
        self._boundary = QComboBox()
        for boundary in BOUNDARIES:
            self._boundary.addItem(BEYOND[boundary], boundary)
        self._boundary.setCurrentIndex(self._boundary.findData(facts.boundary))
        self.add("Beyond it", "boundary", self._boundary)
        rooms = self.desk.service(HousePartService).rooms()
        self._other = choice_box(
            [(one.id, f"{one.name}, {one.storey}") for one in rooms if one.id != room_id], NOT_RECORDED
        )
        self._other.setCurrentIndex(max(self._other.findData(facts.other_room_id), 0))
        self.add("Room behind it", "other", self._other)
        self._area = self.add_quantity(
            "Area, windows included", "area", Dimension.AREA, facts.area_m2 or None, low_si=0.0
        )
        self._add_turn(facts)
        self._add_made_of(facts)
        self._add_below(facts)
        self._notes = self.add_line("Notes", "notes", facts.notes)
        self.add_because()
        self._boundary.currentIndexChanged.connect(lambda _at: self._show_what_belongs())
        self._kind.activated.connect(lambda _at: self._kind_chosen())
        self._show_what_belongs()
        self.begin()

    def _add_turn(self, facts: SurfaceFacts) -> None:
        angle = Dimension.ANGLE
        self._azimuth = self.add_quantity(
            "Faces, clockwise from north", "azimuth", angle, facts.azimuth_deg, low_si=0.0
        )
        self._azimuth.setPlaceholderText("0 north, 90 east, 180 south, 270 west")
        self._tilt = self.add_quantity(
            "Tilt: 0 a flat roof, 90 a wall, 180 a floor", "tilt", angle, facts.tilt_deg, low_si=0.0
        )

    def _add_made_of(self, facts: SurfaceFacts) -> None:
        made = self.desk.service(HouseEditService).constructions()
        self._construction = choice_box([(one.id, one.name) for one in made], NOT_RECORDED)
        self._construction.setCurrentIndex(max(self._construction.findData(facts.construction_id), 0))
        self.add("Made of", "construction", self._construction)
        self._absorptance = self.add_quantity(
            "Share of sun taken up", "absorptance", Dimension.SHARE, facts.solar_absorptance, low_si=0.0
        )

    def _add_below(self, facts: SurfaceFacts) -> None:
        length = Dimension.LENGTH
        self._perimeter = self.add_quantity(
            "Exposed edge on the ground", "perimeter", length, facts.exposed_perimeter_m, low_si=0.0
        )
        self._depth = self.add_quantity(
            "Depth of the basement below ground", "depth", length, facts.depth_below_ground_m, low_si=0.0
        )
        self._passage = self.add_quantity(
            "Open passage in it: doorway, stairs",
            "passage",
            Dimension.AREA,
            facts.passage_area_m2,
            low_si=0.0,
        )

    def _kind_chosen(self) -> None:
        """A face of another kind lies as such faces do, until the tilt is typed."""
        tilt = TILTS.get(self._kind.currentText())
        if tilt is not None:
            self._tilt.set_value(tilt)

    def _show_what_belongs(self) -> None:
        beyond = self._boundary.currentData()
        for field, belongs in (
            (self._other, beyond in TO_A_ROOM),
            (self._passage, beyond in TO_A_ROOM),
            (self._azimuth, beyond == TO_OUTDOORS),
            (self._absorptance, beyond == TO_OUTDOORS),
            (self._perimeter, beyond == TO_THE_GROUND),
            (self._depth, beyond == TO_THE_GROUND),
        ):
            self.form.setRowVisible(field, belongs)

    def _facts(self) -> SurfaceFacts:
        beyond = self._boundary.currentData()
        is_inner = beyond in TO_A_ROOM
        return SurfaceFacts(
            name=needed_text(self._name, "Name"),
            kind=self._kind.currentText(),
            boundary=beyond,
            other_room_id=self._other.currentData() if is_inner else None,
            area_m2=needed(self._area),
            azimuth_deg=self._azimuth.value(),
            tilt_deg=needed(self._tilt),
            construction_id=self._construction.currentData(),
            solar_absorptance=self._absorptance.value(),
            exposed_perimeter_m=self._perimeter.value(),
            depth_below_ground_m=self._depth.value(),
            passage_area_m2=(self._passage.value() or None) if is_inner else None,
            notes=self._notes.text().strip(),
        )


class SurfaceDialog(_FaceForm):
    """Changes one face of a room."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: SurfaceSheet) -> None:
        super().__init__(desk, parent, f"surface:{sheet.row.id}", f"Change {sheet.row.name}, {sheet.room}")
        self._sheet = sheet
        self._add_fields(sheet.facts, sheet.room_id)

    def record(self) -> None:
        self.desk.service(HouseEditService).change_surface(self._sheet.row.id, self._facts(), self.because())


class NewFaceDialog(_FaceForm):
    """Adds a face to a room."""

    def __init__(self, desk: Desk, parent: QWidget | None, room: RoomSheet) -> None:
        super().__init__(desk, parent, f"new-face:{room.id}", f"Add a face, {room.facts.name}")
        self._room = room
        self.surface_id: int | None = None
        self._add_fields(NEW_FACE, room.id)

    def record(self) -> None:
        parts = self.desk.service(HousePartService)
        self.surface_id = parts.add_surface(self._room.id, self._facts(), self.because())
