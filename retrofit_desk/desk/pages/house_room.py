"""One room of the house: its numbers, what touches it, its faces, and the face that is chosen."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.house_face import FacePart
from retrofit_desk.desk.pages.house_text import certainty_line, maybe_text, stated_text, touch_line
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.lines import StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.house import RoomSheet, SurfaceRow
from retrofit_desk.services.house_faces import FaceService, blank_opening
from retrofit_desk.services.house_parts import HousePartService
from retrofit_desk.services.house_taking_out import HouseTakingOutService
from retrofit_desk.values.quantity import Dimension, Units, heading, number_text, show, show_about


class RoomPane(ScrollPane):
    """Everything about the chosen room, stacked; the list of faces leads to one of them."""

    room_wanted = Signal(int)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._sheet: RoomSheet | None = None
        self._wanted_face: int | None = None
        column = self.column
        self._heading = SectionHeading("")
        self._change = QPushButton("Change the room …")
        self._change.clicked.connect(self.change_room)
        airing = QPushButton("Airing …")
        airing.setToolTip("When the windows of the house are opened against warmth")
        airing.clicked.connect(self.change_airing)
        self._heading.row.addWidget(airing)
        self._heading.row.addWidget(self._change)
        self._facts, self._load, self._sure = soft_label(), soft_label(), soft_label()
        self.faces = RecordTable[SurfaceRow](desk, "Faces of the room", self._columns())
        self.faces.setMinimumHeight(self.fontMetrics().lineSpacing() * 12)
        self.face = FacePart(desk)
        self._touching = StackedList(desk, "Measures here", "No measure touches this room yet.")
        for widget in (self._heading, self._facts, self._load, self._sure):
            column.addWidget(widget)
        column.addWidget(SectionHeading("Faces"))
        column.addWidget(self.faces)
        column.addWidget(
            ButtonRow(
                (
                    ("Add a face …", self.add_face),
                    ("Add a window or door …", self.add_opening),
                    ("Add a room …", self.add_room),
                    ("Divide the room …", self.divide_room),
                    ("Add a story …", self.add_storey),
                    ("Change the story …", self.change_storey),
                    ("Take the face out", self.take_face_out),
                    ("Take the room out", self.take_room_out),
                )
            )
        )
        column.addWidget(self.face)
        column.addWidget(SectionHeading("Measures here"))
        column.addWidget(self._touching)
        column.addStretch(1)
        self.faces.chosen.connect(self._face_chosen)

    def show_room(self, sheet: RoomSheet | None) -> None:
        """Show a room; the face that was chosen stays chosen when the room has it."""
        self._sheet = sheet
        self._change.setVisible(sheet is not None)
        if sheet is None:
            self._heading.set_title("No room is described yet")
            self._facts.setText("Describe a new house, or read a house description in.")
            self.faces.set_rows((), self._columns())
            self.face.show_face(None)
            return
        self._heading.set_title(sheet.facts.name)
        self._heading.set_remark(sheet.storey if sheet.storey != sheet.facts.name else "")
        self._facts.setText(self._facts_words(sheet))
        self._load.setText(self._load_words(sheet))
        self._sure.setText(certainty_line(sheet.sources))
        self._sure.setVisible(bool(sheet.sources))
        self._touching.set_lines([touch_line(touch) for touch in sheet.measures])
        chosen = self.faces.selected()
        wanted = self._wanted_face or (chosen.id if chosen is not None else None)
        self.faces.set_rows(sheet.surfaces, self._columns())
        self.choose_face(wanted)

    def choose_face(self, surface_id: int | None) -> None:
        """Choose one face of the room, else its first one."""
        rows = [row for row in self.faces.model.rows if row.id == surface_id] or self.faces.shown_rows()
        if rows:
            self.faces.select(rows[0])
        self._face_chosen(rows[0] if rows else None)

    def change_room(self) -> None:
        """Open the form of the room's facts."""
        from retrofit_desk.desk.dialogs.room_forms import RoomDialog

        if self._sheet is not None:
            RoomDialog(self._desk, self, self._sheet).exec()

    def add_room(self) -> None:
        """Open the form of a new room."""
        from retrofit_desk.desk.dialogs.room_forms import NewRoomDialog

        storey_id = None if self._sheet is None else self._sheet.storey_id
        NewRoomDialog(self._desk, self, storey_id).exec()

    def add_storey(self) -> None:
        """Open the form of a new storey."""
        from retrofit_desk.desk.dialogs.room_forms import StoreyDialog

        StoreyDialog(self._desk, self, None).exec()

    def change_storey(self) -> None:
        """Open the form of the storey that the room stands on."""
        from retrofit_desk.desk.dialogs.room_forms import StoreyDialog

        storeys = self._desk.service(HousePartService).storeys()
        mine = [one for one in storeys if self._sheet is not None and one.id == self._sheet.storey_id]
        if mine:
            StoreyDialog(self._desk, self, mine[0]).exec()

    def divide_room(self) -> None:
        """Open the form that cuts a new room off this one."""
        from retrofit_desk.desk.dialogs.room_forms import DivideRoomDialog

        if self._sheet is not None:
            DivideRoomDialog(self._desk, self, self._sheet).exec()

    def take_face_out(self) -> None:
        """The chosen face with its windows; undo brings it back."""
        row = self.faces.selected()
        if row is not None:
            with self._desk.notices.caught():
                self._desk.service(HouseTakingOutService).surface(row.id)
                self._desk.notices.tell(f"{row.name} is taken out. Undo brings it back.")

    def take_room_out(self) -> None:
        """This room with its faces; undo brings it back."""
        if self._sheet is not None:
            room = self._sheet
            with self._desk.notices.caught():
                self._desk.service(HouseTakingOutService).room(room.id)
                self._desk.notices.tell(f"{room.facts.name} is taken out. Undo brings it back.")

    def add_face(self) -> None:
        """Open the form of a new face of this room."""
        from retrofit_desk.desk.dialogs.face_form import NewFaceDialog

        if self._sheet is not None:
            NewFaceDialog(self._desk, self, self._sheet).exec()

    def add_opening(self) -> None:
        """Open the form of a new window or door in the chosen face."""
        from retrofit_desk.desk.dialogs.opening_form import OpeningDialog

        if self.face.sheet is not None:
            OpeningDialog(self._desk, self, blank_opening(), face=self.face.sheet).exec()

    def change_airing(self) -> None:
        """Open the form of when windows are opened."""
        from retrofit_desk.desk.dialogs.airing_form import AiringDialog

        AiringDialog(self._desk, self).exec()

    def _face_chosen(self, row: SurfaceRow | None) -> None:
        self._wanted_face = row.id if row is not None else None
        with self._desk.notices.caught():
            service = self._desk.service(FaceService)
            self.face.show_face(service.sheet(row.id) if row is not None else None)

    def _columns(self) -> tuple[Column[SurfaceRow], ...]:
        units = self._desk.units

        def number(value: float | None, dimension: Dimension) -> str:
            return "cannot say" if value is None else number_text(value, dimension, units)

        return (
            Column("Face", lambda row: row.name, is_strong=True),
            Column("Beyond", lambda row: row.beyond),
            Column(
                heading("U", Dimension.U_VALUE, units),
                lambda row: number(row.u_value_w_m2k, Dimension.U_VALUE),
                lambda row: row.u_value_w_m2k,
                is_number=True,
                hint=lambda row: row.cannot_say or "Through layers and films; the ground is left out",
            ),
            Column(
                heading("R", Dimension.R_VALUE, units) if units is Units.SI else "R",
                lambda row: number(row.resistance_m2k_w, Dimension.R_VALUE),
                lambda row: row.resistance_m2k_w,
                is_number=True,
                hint=lambda row: row.cannot_say or "Through layers and films; the ground is left out",
            ),
            Column(
                heading("Area", Dimension.AREA, units),
                lambda row: number(row.area_m2, Dimension.AREA),
                lambda row: row.area_m2,
                is_number=True,
            ),
            Column(
                "Openings",
                lambda row: str(row.openings_count) if row.openings_count else "none",
                lambda row: row.openings_count,
                is_number=True,
            ),
        )

    def _facts_words(self, sheet: RoomSheet) -> str:
        facts = sheet.facts
        desk, units = self._desk, self._desk.units
        volume = show(facts.floor_area_m2 * facts.height_m, Dimension.VOLUME, units)
        parts = [
            f"{show(facts.floor_area_m2, Dimension.AREA, units)} of floor, "
            f"{show(facts.height_m, Dimension.LENGTH, units)} high, {volume}."
        ]
        if facts.is_heated:
            night = maybe_text(desk, facts.heating_setback_c, Dimension.TEMPERATURE, "no setback")
            kept = maybe_text(desk, facts.heating_set_point_c, Dimension.TEMPERATURE)
            parts.append(f"Heated to {kept}; at night {night}.")
        else:
            parts.append("Not heated.")
        if facts.is_cooled:
            parts.append(f"Cooled to {maybe_text(desk, facts.cooling_set_point_c, Dimension.TEMPERATURE)}.")
        else:
            parts.append("Not cooled.")
        gain = stated_text(desk, facts.internal_gain_w, Dimension.POWER)
        parts.append(f"Mean heat of people and machines: {gain}.")
        if facts.air_changes_per_hour.is_known:
            air = stated_text(desk, facts.air_changes_per_hour, Dimension.AIR_CHANGES)
            parts.append(f"Its own air change: {air}.")
        else:
            parts.append("Shares the leaks that the blower door found.")
        if facts.notes:
            parts.append(facts.notes)
        return " ".join(parts)

    def _load_words(self, sheet: RoomSheet) -> str:
        units = self._desk.units
        if sheet.load is None:
            if sheet.design_c is None:
                return (
                    "Its design heat loss cannot be said yet; the line above the plan tells what is missing."
                )
            cold = show(sheet.design_c, Dimension.TEMPERATURE, units)
            return f"On the design day it is about {cold} here, by the heat that leaks in and out."
        load = sheet.load
        parts = [
            f"{show_about(load.to_outside_w, Dimension.POWER, units)} through its faces",
            f"{show_about(load.air_w, Dimension.POWER, units)} with the air",
        ]
        if load.to_neighbors_w > 1.0:
            parts.append(f"{show_about(load.to_neighbors_w, Dimension.POWER, units)} to rooms kept cooler")
        warmed = ""
        if load.to_neighbors_w < -1.0:
            warmed = (
                f", less {show_about(-load.to_neighbors_w, Dimension.POWER, units)} from rooms kept warmer"
            )
        return (
            f"On the design day it loses {show_about(load.total_w, Dimension.POWER, units)} "
            f"({show(load.w_per_m2, Dimension.HEAT_FLUX, units)}): {', '.join(parts)}{warmed}."
        )
