"""The form of a window or door, recorded already or new."""

from __future__ import annotations

from math import isclose

from PySide6.QtWidgets import QComboBox, QPushButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.facts_form import FactsForm, counted, needed, needed_text
from retrofit_desk.desk.dialogs.window_by_parts import WindowByPartsDialog
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.services.house_edits import HouseEditService
from retrofit_desk.services.house_faces import OpeningSheet, SurfaceSheet
from retrofit_desk.services.house_facts import (
    AGAINST_THE_SUN,
    DRAWN_BY_THE_CLOCK,
    FRAMES,
    GLASS_COATINGS,
    HINGES,
    OPENING_KINDS,
    OPERATIONS,
    SHADE_RULES,
    SHADES,
    USUAL_OUTDOOR_ABOVE_C,
    USUAL_SUN_ABOVE_W_M2,
    Because,
    OpeningFacts,
)
from retrofit_desk.services.house_parts import HousePartService
from retrofit_desk.services.window_by_parts import WorkedOutU
from retrofit_desk.values.quantity import Dimension, number_text, parse, show
from retrofit_desk.values.stated import StatedValue

U_AS_SHOWN = 0.01  # what rounding in the field leaves of a U-value
NOT_RECORDED, ALL_YEAR = "not recorded", "all year"
# leaky, and tight with no resistance of its own: ISO 10077-1, additional resistance, from memory
USUAL_ADDED_M2K_W = (0.08, 0.17)


class OpeningDialog(FactsForm):
    """Changes one window or door; with `face` it adds one to that face."""

    def __init__(
        self, desk: Desk, parent: QWidget | None, sheet: OpeningSheet, *, face: SurfaceSheet | None = None
    ) -> None:
        form = f"opening:{sheet.id}" if face is None else f"new-opening:{face.row.id}"
        title = f"Change {sheet.facts.name}" if face is None else f"Add a window or door, {face.row.name}"
        super().__init__(desk, parent, form, title)
        self._sheet, self._face = sheet, face
        length, plain = Dimension.LENGTH, Dimension.PLAIN
        facts = sheet.facts
        self._name = self.add_line("Name", "name", facts.name)
        self._kind = self._choice("Kind", "kind", OPENING_KINDS, facts.kind)
        self._width = self.add_quantity("Width", "width", length, facts.width_m or None, low_si=0.0)
        self._height = self.add_quantity("Height", "height", length, facts.height_m or None, low_si=0.0)
        self._sill = self.add_quantity("Sill above the floor", "sill", length, facts.sill_m, low_si=0.0)
        self._count = self.add_quantity(
            "How many alike", "count", plain, float(facts.count), low_si=1.0, decimals=0
        )
        self._u_value = self.add_stated(
            "U-value, whole window", "u_value", Dimension.U_VALUE, facts.u_value_w_m2k
        )
        self._worked_out: WorkedOutU | None = None
        work_out = QPushButton("No label? Work it out …")
        work_out.setAutoDefault(False)
        work_out.clicked.connect(lambda _checked=False: self._work_out())
        self.form.addRow("", work_out)
        self._shgc = self.add_stated("SHGC, whole window", "shgc", plain, facts.shgc)
        panes = None if facts.panes is None else float(facts.panes)
        self._panes = self.add_quantity("Panes", "panes", plain, panes, low_si=1.0, decimals=0)
        self._add_glass(facts)
        self._depth = self.add_quantity("Overhang", "depth", length, facts.overhang_depth_m, low_si=0.0)
        self._above = self.add_quantity(
            "Overhang above the glass", "above", length, facts.overhang_above_head_m, low_si=0.0
        )
        self._left = self.add_quantity(
            "Overhang past the left side", "left", length, facts.overhang_left_m, low_si=0.0
        )
        self._right = self.add_quantity(
            "Overhang past the right side", "right", length, facts.overhang_right_m, low_si=0.0
        )
        self._add_beside(facts)
        self._add_movable(facts)
        self.add_because()
        self.begin()

    def _work_out(self) -> None:
        """Take the U-value that glass, frame and spacer give; how it came about is kept beside it."""
        dialog = WindowByPartsDialog(self.desk, self, self._sheet)
        dialog.exec()
        self.take_worked_out(dialog.found)

    def take_worked_out(self, found: WorkedOutU | None) -> None:
        """Fill in a worked-out U-value."""
        if found is not None:
            self._worked_out = found
            self._u_value.set_stated(StatedValue(found.u_value_w_m2k))
            self._keep.start()

    def _u_because(self) -> Because | None:
        """None where the value was typed, or typed over."""
        typed = self._u_value.stated().value
        mine = self._worked_out
        if mine is None or typed is None or not isclose(typed, mine.u_value_w_m2k, rel_tol=U_AS_SHOWN):
            return None
        return mine.because

    def _add_glass(self, facts: OpeningFacts) -> None:
        """What the glass does with the sun at an angle."""
        self._coating = self._choice("Coating of the glass", "coating", GLASS_COATINGS, facts.coating)
        self._coating.setToolTip("Not recorded: told from panes and U-value")
        self._course = RowsField("SHGC by angle", ("Angle from square on", "SHGC"), ("0°", "0.76"))
        self._course.setToolTip(
            "By the maker's sheet, from 0° on, scaled to the SHGC above. Empty: panes and coating tell it"
        )
        for angle, shgc in facts.shgc_by_angle:
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

    def _add_beside(self, facts: OpeningFacts) -> None:
        """What stands out beside the glass, and where the opening lies in its wall. Seen from outside."""
        length = Dimension.LENGTH
        self._offset = self.add_quantity(
            "From the wall's left end, seen from outside", "offset", length, facts.left_offset_m, low_si=0.0
        )
        self._reveal = self.add_quantity(
            "Glass behind the wall's face", "reveal", length, facts.reveal_m, low_si=0.0
        )
        self._fins = [
            self.add_quantity(words, name, length, value, low_si=0.0)
            for words, name, value in (
                ("Fin at the left, depth", "left fin", facts.left_fin_depth_m),
                ("Fin at the left, away from the glass", "left gap", facts.left_fin_gap_m),
                ("Fin at the right, depth", "right fin", facts.right_fin_depth_m),
                ("Fin at the right, away from the glass", "right gap", facts.right_fin_gap_m),
            )
        ]

    def _add_movable(self, facts: OpeningFacts) -> None:
        """How it opens, and what is drawn before or behind the glass."""
        self._operation = self._choice("Opens as", "operation", OPERATIONS, facts.operation)
        self._hinge = self._choice("Hinges, seen from outside", "hinge", HINGES, facts.hinge)
        self._frame = self._choice("Frame", "frame", FRAMES, facts.frame)
        self._shade = self._choice("Shade", "shade", SHADES, facts.shade)
        self._rule = self._choice("The shade is", "rule", SHADE_RULES, facts.shade_rule)
        self._passes = self.add_quantity(
            "Sun that the drawn shade lets through, 0 to 1",
            "passes",
            Dimension.PLAIN,
            facts.shade_solar_factor,
            low_si=0.0,
            decimals=2,
        )
        self._keeps_in = self.add_quantity(
            "The drawn shade adds, with the air behind it",
            "keeps_in",
            Dimension.R_VALUE,
            facts.shade_added_resistance_m2k_w,
            low_si=0.0,
        )
        loose, tight = (show(r, Dimension.R_VALUE, self.desk.units) for r in USUAL_ADDED_M2K_W)
        self._keeps_in.setPlaceholderText(f"loose about {loose}, tight {tight} and more")
        self._keeps_in.setToolTip("Counts in all hours in which it is drawn. Empty: nothing is counted")
        self._add_sun_limits(facts)
        self._add_clock(facts)

    def _add_sun_limits(self, facts: OpeningFacts) -> None:
        """From when on a shade is drawn against the summer sun."""
        self._sun_above = self.add_quantity(
            "Drawn while the glass gets more sun than",
            "sun_above",
            Dimension.HEAT_FLUX,
            facts.shade_sun_above_w_m2,
            low_si=0.0,
        )
        self._outdoor_above = self.add_quantity(
            "And while it is warmer outside than",
            "outdoor_above",
            Dimension.TEMPERATURE,
            facts.shade_outdoor_above_c,
        )
        for field, usual, dimension in (
            (self._sun_above, USUAL_SUN_ABOVE_W_M2, Dimension.HEAT_FLUX),
            (self._outdoor_above, USUAL_OUTDOOR_ABOVE_C, Dimension.TEMPERATURE),
        ):
            field.setPlaceholderText(f"empty: {show(usual, dimension, self.desk.units)}")

    def _add_clock(self, facts: OpeningFacts) -> None:
        """Hours and months of a shade drawn by the clock."""
        self._hours = [
            self.add_quantity(
                words, name, Dimension.PLAIN, None if hour is None else float(hour), low_si=0.0, decimals=0
            )
            for words, name, hour in (
                ("Drawn from hour (0 to 24, standard time)", "from hour", facts.shade_from_hour),
                ("Until hour (the same: all day)", "to hour", facts.shade_to_hour),
            )
        ]
        self._months = [
            self.add_month(words, name, month, ALL_YEAR)
            for words, name, month in (
                ("In the months from", "from month", facts.shade_from_month),
                ("Until the end of", "to month", facts.shade_to_month),
            )
        ]
        self._rule.currentIndexChanged.connect(lambda _at: self._rule_chosen())
        self._rule_chosen()

    def _rule_chosen(self) -> None:
        """Only a shade drawn by the clock has hours and months, one drawn against the sun its limits."""
        rule = self._rule.currentData()
        for field in (*self._hours, *self._months):
            field.setEnabled(rule == DRAWN_BY_THE_CLOCK)
        for limit in (self._sun_above, self._outdoor_above):
            limit.setEnabled(rule in AGAINST_THE_SUN)

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
            kind=self._kind.currentData(),
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
            shade_sun_above_w_m2=self._sun_above.value(),
            shade_outdoor_above_c=self._outdoor_above.value(),
            shade_added_resistance_m2k_w=self._keeps_in.value(),
        )
        if self._face is None:
            self.desk.service(HouseEditService).change_opening(
                self._sheet.id, facts, self.because(), self._u_because()
            )
        else:
            self.desk.service(HousePartService).add_opening(
                self._face.row.id, facts, self.because(), self._u_because()
            )
