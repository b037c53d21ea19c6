"""The forms of a room, a face, a window, and of when windows are opened."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QComboBox, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed, needed_text
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.services.airing import AiringHabit, AiringService
from retrofit_desk.services.house import RoomSheet
from retrofit_desk.services.house_edits import (
    DRAWN_BY_THE_CLOCK,
    FRAMES,
    GLASS_COATINGS,
    HINGES,
    OPERATIONS,
    SHADE_RULES,
    SHADES,
    HouseEditService,
    OpeningFacts,
    RoomFacts,
    SurfaceFacts,
)
from retrofit_desk.services.house_faces import OpeningSheet, SurfaceSheet
from retrofit_desk.values.quantity import Dimension, number_text, parse, show

NOT_RECORDED, ALL_YEAR = "not recorded", "all year"


class RoomDialog(FactsForm):
    """Changes one room."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RoomSheet) -> None:
        super().__init__(desk, parent, f"room:{sheet.id}", f"Change {sheet.name}")
        self._sheet = sheet
        self._name = self.add_line("Name", "name", sheet.name)
        self._area = self.add_quantity("Floor area", "area", Dimension.AREA, sheet.floor_area_m2, low_si=0.0)
        self._height = self.add_quantity("Height", "height", Dimension.LENGTH, sheet.height_m, low_si=0.0)
        self._heated, self._cooled = QCheckBox("Heated"), QCheckBox("Cooled")
        self._heated.setChecked(sheet.is_heated)
        self._cooled.setChecked(sheet.is_cooled)
        self.add("", "heated", self._heated)
        self.add("", "cooled", self._cooled)
        temperature = Dimension.TEMPERATURE
        self._heat_to = self.add_quantity("Heated to", "heat_to", temperature, sheet.heating_set_point_c)
        self._at_night = self.add_quantity("At night", "at_night", temperature, sheet.heating_setback_c)
        self._cool_to = self.add_quantity("Cooled to", "cool_to", temperature, sheet.cooling_set_point_c)
        self._gain = self.add_stated(
            "Heat of people and machines", "gain", Dimension.POWER, sheet.internal_gain_w
        )
        self._air = self.add_stated(
            "Its own air change", "air", Dimension.AIR_CHANGES, sheet.air_changes_per_hour
        )
        self._air.setToolTip("Only for spaces outside the blower-door volume: attic, crawl space, garage")
        self._notes = self.add_line("Notes", "notes", sheet.notes)
        self.add_because()
        self.begin()

    def record(self) -> None:
        facts = RoomFacts(
            name=needed_text(self._name, "Name"),
            floor_area_m2=needed(self._area),
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
        self.desk.service(HouseEditService).change_room(self._sheet.id, facts, self.because())


class SurfaceDialog(FactsForm):
    """Changes one face of a room."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: SurfaceSheet) -> None:
        super().__init__(desk, parent, f"surface:{sheet.row.id}", f"Change {sheet.row.name}, {sheet.room}")
        self._sheet = sheet
        self._name = self.add_line("Name", "name", sheet.row.name)
        self._area = self.add_quantity(
            "Area, windows included", "area", Dimension.AREA, sheet.row.area_m2, low_si=0.0
        )
        self._azimuth = self.add_quantity(
            "Faces, clockwise from north", "azimuth", Dimension.ANGLE, sheet.azimuth_deg, low_si=0.0
        )
        self._tilt = self.add_quantity(
            "Tilt: 0 a flat roof, 90 a wall, 180 a floor", "tilt", Dimension.ANGLE, sheet.tilt_deg, low_si=0.0
        )
        self._choices = desk.service(HouseEditService).constructions()
        self._construction = QComboBox()
        self._construction.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self._construction.addItem(NOT_RECORDED, None)
        for choice in self._choices:
            self._construction.addItem(choice.name, choice.id)
        self._construction.setCurrentText(sheet.construction or NOT_RECORDED)
        self.add("Made of", "construction", self._construction)
        self._absorptance = self.add_quantity(
            "Share of sun taken up", "absorptance", Dimension.SHARE, sheet.solar_absorptance, low_si=0.0
        )
        self._perimeter = self.add_quantity(
            "Exposed edge on the ground", "perimeter", Dimension.LENGTH, sheet.exposed_perimeter_m, low_si=0.0
        )
        self._passage = self.add_quantity(
            "Open passage in it: doorway, stairs",
            "passage",
            Dimension.AREA,
            sheet.passage_area_m2,
            low_si=0.0,
        )
        self.form.setRowVisible(self._passage, sheet.leads_to_room)
        self._notes = self.add_line("Notes", "notes", sheet.notes)
        self.add_because()
        self.begin()

    def record(self) -> None:
        facts = SurfaceFacts(
            name=needed_text(self._name, "Name"),
            area_m2=needed(self._area),
            azimuth_deg=self._azimuth.value(),
            tilt_deg=needed(self._tilt),
            construction_id=self._construction.currentData(),
            solar_absorptance=self._absorptance.value(),
            exposed_perimeter_m=self._perimeter.value(),
            passage_area_m2=self._passage.value(),
            notes=self._notes.text().strip(),
        )
        self.desk.service(HouseEditService).change_surface(self._sheet.row.id, facts, self.because())


class OpeningDialog(FactsForm):
    """Changes one window or door."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: OpeningSheet) -> None:
        super().__init__(desk, parent, f"opening:{sheet.id}", f"Change {sheet.name}")
        self._sheet = sheet
        length, plain = Dimension.LENGTH, Dimension.PLAIN
        self._name = self.add_line("Name", "name", sheet.name)
        self._width = self.add_quantity("Width", "width", length, sheet.width_m, low_si=0.0)
        self._height = self.add_quantity("Height", "height", length, sheet.height_m, low_si=0.0)
        self._sill = self.add_quantity("Sill above the floor", "sill", length, sheet.sill_m, low_si=0.0)
        self._count = self.add_quantity(
            "How many alike", "count", plain, float(sheet.count), low_si=1.0, decimals=0
        )
        self._u_value = self.add_stated(
            "U-value, whole window", "u_value", Dimension.U_VALUE, sheet.u_value_w_m2k
        )
        self._shgc = self.add_stated("SHGC, whole window", "shgc", plain, sheet.shgc)
        panes = None if sheet.panes is None else float(sheet.panes)
        self._panes = self.add_quantity("Panes", "panes", plain, panes, low_si=1.0, decimals=0)
        self._add_glass(sheet)
        self._depth = self.add_quantity("Overhang", "depth", length, sheet.overhang_depth_m, low_si=0.0)
        self._above = self.add_quantity(
            "Overhang above the glass", "above", length, sheet.overhang_above_head_m, low_si=0.0
        )
        self._left = self.add_quantity(
            "Overhang past the left side", "left", length, sheet.overhang_left_m, low_si=0.0
        )
        self._right = self.add_quantity(
            "Overhang past the right side", "right", length, sheet.overhang_right_m, low_si=0.0
        )
        self._add_beside(sheet)
        self._add_movable(sheet)
        self.add_because()
        self.begin()

    def _add_glass(self, sheet: OpeningSheet) -> None:
        """What the glass does with the sun at an angle."""
        self._coating = self._choice("Coating of the glass", "coating", GLASS_COATINGS, sheet.coating)
        self._coating.setToolTip("Not recorded: told from panes and U-value")
        self._course = RowsField("SHGC by angle", ("Angle from square on", "SHGC"), ("0°", "0.76"))
        self._course.setToolTip(
            "By the maker's sheet, from 0° on, scaled to the SHGC above. Empty: panes and coating tell it"
        )
        for angle, shgc in sheet.shgc_by_angle:
            self._course.add_row(
                (
                    show(angle, Dimension.ANGLE, self.desk.units),
                    number_text(shgc, Dimension.PLAIN, self.desk.units, decimals=2),
                )
            )
        self._course.changed.connect(self._keep.start)
        self.add("SHGC by angle, maker's sheet", "course", self._course)

    def _typed_course(self) -> tuple[tuple[float, float], ...]:
        """The angles and shares as typed. Raises a `DeskError`."""
        where = "SHGC by angle"
        pairs = [(*row, "")[:2] for row in self._course.rows()]
        return tuple(
            (
                parse(angle, Dimension.ANGLE, self.desk.units, where=where).value_si,
                parse(shgc, Dimension.PLAIN, self.desk.units, where=where).value_si,
            )
            for angle, shgc in pairs
        )

    def _add_beside(self, sheet: OpeningSheet) -> None:
        """What stands out beside the glass, and where the opening lies in its wall. Seen from outside."""
        length = Dimension.LENGTH
        self._offset = self.add_quantity(
            "From the wall's left end, seen from outside", "offset", length, sheet.left_offset_m, low_si=0.0
        )
        self._reveal = self.add_quantity(
            "Glass behind the wall's face", "reveal", length, sheet.reveal_m, low_si=0.0
        )
        self._fins = [
            self.add_quantity(words, name, length, value, low_si=0.0)
            for words, name, value in (
                ("Fin at the left, depth", "left fin", sheet.left_fin_depth_m),
                ("Fin at the left, away from the glass", "left gap", sheet.left_fin_gap_m),
                ("Fin at the right, depth", "right fin", sheet.right_fin_depth_m),
                ("Fin at the right, away from the glass", "right gap", sheet.right_fin_gap_m),
            )
        ]

    def _add_movable(self, sheet: OpeningSheet) -> None:
        """How it opens, and what is drawn before or behind the glass."""
        self._operation = self._choice("Opens as", "operation", OPERATIONS, sheet.operation)
        self._hinge = self._choice("Hinges, seen from outside", "hinge", HINGES, sheet.hinge)
        self._frame = self._choice("Frame", "frame", FRAMES, sheet.frame)
        self._shade = self._choice("Shade", "shade", SHADES, sheet.shade)
        self._rule = self._choice("The shade is", "rule", SHADE_RULES, sheet.shade_rule)
        self._passes = self.add_quantity(
            "Sun that the drawn shade lets through, 0 to 1",
            "passes",
            Dimension.PLAIN,
            sheet.shade_solar_factor,
            low_si=0.0,
            decimals=2,
        )
        self._add_clock(sheet)

    def _add_clock(self, sheet: OpeningSheet) -> None:
        """Hours and months of a shade drawn by the clock."""
        self._hours = [
            self.add_quantity(
                words, name, Dimension.PLAIN, None if hour is None else float(hour), low_si=0.0, decimals=0
            )
            for words, name, hour in (
                ("Drawn from hour (0 to 24, standard time)", "from hour", sheet.shade_from_hour),
                ("Until hour (the same: all day)", "to hour", sheet.shade_to_hour),
            )
        ]
        self._months = [
            self.add_month(words, name, month, ALL_YEAR)
            for words, name, month in (
                ("In the months from", "from month", sheet.shade_from_month),
                ("Until the end of", "to month", sheet.shade_to_month),
            )
        ]
        self._rule.currentIndexChanged.connect(lambda _at: self._rule_chosen())
        self._rule_chosen()

    def _rule_chosen(self) -> None:
        """Only a shade drawn by the clock has hours and months."""
        by_clock = self._rule.currentData() == DRAWN_BY_THE_CLOCK
        for field in (*self._hours, *self._months):
            field.setEnabled(by_clock)

    def _choice(self, words: str, name: str, choices: tuple[str, ...], now: str) -> QComboBox:
        box = QComboBox()
        for choice in choices if now in choices else (*choices, now):
            box.addItem(choice or NOT_RECORDED, choice)
        box.setCurrentIndex(box.findData(now))
        self.add(words, name, box)
        return box

    def record(self) -> None:
        left_fin, left_gap, right_fin, right_gap = (fin.value() or 0.0 for fin in self._fins)
        from_hour, to_hour = (None if hour.value() is None else counted(hour) for hour in self._hours)
        facts = OpeningFacts(
            name=needed_text(self._name, "Name"),
            width_m=needed(self._width),
            height_m=needed(self._height),
            sill_m=needed(self._sill),
            count=counted(self._count),
            u_value_w_m2k=self._u_value.stated(),
            shgc=self._shgc.stated(),
            panes=None if self._panes.value() is None else counted(self._panes),
            coating=self._coating.currentData(),
            shgc_by_angle=self._typed_course(),
            overhang_depth_m=self._depth.value() or 0.0,
            overhang_above_head_m=self._above.value() or 0.0,
            overhang_left_m=self._left.value() or 0.0,
            overhang_right_m=self._right.value() or 0.0,
            left_offset_m=self._offset.value(),
            reveal_m=self._reveal.value() or 0.0,
            left_fin_depth_m=left_fin,
            left_fin_gap_m=left_gap,
            right_fin_depth_m=right_fin,
            right_fin_gap_m=right_gap,
            operation=self._operation.currentData(),
            hinge=self._hinge.currentData(),
            frame=self._frame.currentData(),
            shade=self._shade.currentData(),
            shade_solar_factor=self._passes.value(),
            shade_rule=self._rule.currentData(),
            shade_from_hour=from_hour,
            shade_to_hour=to_hour,
            shade_from_month=self._months[0].currentData(),
            shade_to_month=self._months[1].currentData(),
        )
        self.desk.service(HouseEditService).change_opening(self._sheet.id, facts, self.because())


class AiringDialog(FactsForm):
    """When the family opens the windows against warmth."""

    def __init__(self, desk: Desk, parent: QWidget | None) -> None:
        super().__init__(desk, parent, "airing", "When windows are opened")
        habit = desk.service(AiringService).habit()
        temperature, plain = Dimension.TEMPERATURE, Dimension.PLAIN
        self._above = self.add_quantity(
            "Opened when a room is above", "above", temperature, habit.opens_above_c
        )
        self._above.setToolTip("Empty: the windows are kept shut")
        self._below = self.add_quantity("Shut again below", "below", temperature, habit.closes_below_c)
        self._from, self._to = (
            self.add_quantity(words, words, plain, float(hour), low_si=0.0, decimals=0)
            for words, hour in (
                ("Only from hour (0 to 24)", habit.from_hour),
                ("Until hour (the same: all day)", habit.to_hour),
            )
        )
        self.begin()
        self.resize(self.width(), self.fontMetrics().lineSpacing() * 14)

    def record(self) -> None:
        habit = AiringHabit(
            self._above.value(), self._below.value(), round(needed(self._from)), round(needed(self._to))
        )
        self.desk.service(AiringService).change_habit(habit)
