"""One face of a room: the core sample, its figures, what is inside, its windows with the noon sun."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.notices import in_one_line
from retrofit_desk.desk.pages.house_text import (
    certainty_line,
    glass_words,
    maybe_text,
    shade_words,
    stated_text,
    then_line,
    touch_line,
)
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.core_sample import (
    CoreFace,
    CoreLayer,
    CoreSample,
    draw_core_sample,
    height_in_lines,
)
from retrofit_desk.desk.pictures.section_hatch import Section
from retrofit_desk.desk.pictures.window_sun import NoonSun, SunSection, draw_window_sun, lit_share
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.airing import AiringService, hinge_words
from retrofit_desk.services.face_changes import FaceChangesService
from retrofit_desk.services.house_faces import LayerRow, OpeningSheet, SurfaceSheet
from retrofit_desk.services.house_taking_out import HouseTakingOutService
from retrofit_desk.services.materials import materials
from retrofit_desk.services.thermal_bridges import BridgeRow, ThermalBridgeService
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, Units, count_text, show

RULERS = {Units.US: (0.0254, "inches"), Units.SI: (0.01, "centimeters")}
FAMILIES = {
    "wood": Section.WOOD,
    "board": Section.BOARD,
    "masonry": Section.MASONRY,
    "plaster": Section.GYPSUM,
    "metal": Section.METAL,
    "air": Section.AIR,
}
WORDS = (("concrete", Section.CONCRETE), ("gypsum", Section.GYPSUM), ("earth", Section.GROUND))
OF_ITS_NAME = (("block", Section.MASONRY), ("brick", Section.MASONRY), ("wood", Section.WOOD))
RIGID = ("eps", "xps", "pir_board", "phenolic_board", "wood_fiber_board", "cork_board", "cellular_glass")
SCREENING = (
    "A notch marks a face colder than the dew point of vapor that only diffuses. Screening for one cold day: "
    "air leaks carry more vapor, and one day is not a wet wall."
)


class FacePart(QWidget):
    """The chosen face, rebuilt whenever another one is shown."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.sheet: SurfaceSheet | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)

    def show_face(self, sheet: SurfaceSheet | None) -> None:
        self.sheet = sheet
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        if sheet is not None:
            self._fill(sheet)

    def change_face(self) -> None:
        """Open the form of the face's facts."""
        from retrofit_desk.desk.dialogs.face_form import SurfaceDialog

        if self.sheet is not None:
            SurfaceDialog(self._desk, self, self.sheet).exec()

    def change_layers(self) -> None:
        """Open the form of the layers."""
        from retrofit_desk.desk.dialogs.layers import LayersDialog

        if self.sheet is not None:
            LayersDialog(self._desk, self, self.sheet).exec()

    def look_inside(self) -> None:
        """Everything recorded inside this face, drawn."""
        from retrofit_desk.desk.dialogs.inside import InsideDialog

        if self.sheet is not None:
            InsideDialog(self._desk, self, surface_id=self.sheet.row.id).exec()

    def change_opening(self, opening: OpeningSheet) -> None:
        """Open the form of a window's facts."""
        from retrofit_desk.desk.dialogs.opening_form import OpeningDialog

        OpeningDialog(self._desk, self, opening).exec()

    def _fill(self, sheet: SurfaceSheet) -> None:
        title = SectionHeading(sheet.row.name)
        for words, run in (
            ("Change the face …", self.change_face),
            ("Change the layers …", self.change_layers),
            ("Inside it …", self.look_inside),
        ):
            button = QPushButton(words)
            button.clicked.connect(lambda _checked=False, run=run: run())
            title.row.addWidget(button)
        self._column.addWidget(title)
        self._column.addWidget(soft_label(sheet.construction))
        if sheet.layers:
            self._column.addWidget(self._core_sample(sheet))
        else:
            self._column.addWidget(soft_label("What it is made of is not recorded yet."))
        for words in self._captions(sheet):
            self._column.addWidget(soft_label(words))
        self._fill_changes(sheet)
        if sheet.inside:
            self._list(
                "Inside it", [StackedLine(one.name, f"{one.kind}: {one.where}") for one in sheet.inside]
            )
        if sheet.measures:
            self._list("What is done to it", [touch_line(one) for one in sheet.measures])
        self._fill_bridges(sheet)
        for opening in sheet.openings:
            self._fill_opening(opening)

    def _fill_changes(self, sheet: SurfaceSheet) -> None:
        """What the measures make of it; the drawing above shows it as it was found."""
        found = self._desk.service(FaceChangesService).of(sheet.row.id)
        if found.moments:
            self._list("What becomes of it", [then_line(self._desk, one) for one in found.moments])
        elif found.cannot_say and sheet.measures:
            self._column.addWidget(soft_label(found.cannot_say))

    def change_bridge(self, sheet: SurfaceSheet, bridge: BridgeRow | None) -> None:
        """Open the form of a thermal bridge, a new one where None."""
        from retrofit_desk.desk.dialogs.thermal_bridge import ThermalBridgeDialog

        ThermalBridgeDialog(self._desk, self, sheet, bridge).exec()

    def _fill_bridges(self, sheet: SurfaceSheet) -> None:
        bridges, units = self._desk.service(ThermalBridgeService), self._desk.units
        if not bridges.may_be_at(sheet.row.id):
            return
        title = SectionHeading("Thermal bridges")
        self._bridge_button(title, "Add a bridge …", "", partial(self.change_bridge, sheet, None))
        self._column.addWidget(title)
        found = bridges.of_face(sheet.row.id)
        if not found:
            self._column.addWidget(soft_label("None recorded, so none is counted."))
        for one in found:
            facts = one.facts
            line = SectionHeading(facts.name, show(one.loss_w_k, Dimension.HEAT_LOSS_RATE, units))
            self._bridge_button(line, "Change …", facts.name, partial(self.change_bridge, sheet, one))
            self._bridge_button(line, "Take out", facts.name, partial(self._take_out, one))
            self._column.addWidget(line)
            length = show(facts.length_m, Dimension.LENGTH, units)
            psi = show(facts.psi_w_mk, Dimension.LINEAR_LOSS, units)
            self._column.addWidget(soft_label(f"{length} at {psi}. Source: {facts.source}."))

    def _bridge_button(self, line: SectionHeading, words: str, of: str, run: Callable[[], None]) -> None:
        button = QPushButton(words)
        button.setAccessibleName(f"{words.removesuffix(' …')} {of}" if of else words)
        button.clicked.connect(lambda _checked=False: run())
        line.row.addWidget(button)

    def _take_out(self, bridge: BridgeRow) -> None:
        with self._desk.notices.caught():
            self._desk.service(ThermalBridgeService).take_out(bridge.id)

    def _take_opening_out(self, opening: OpeningSheet) -> None:
        """Undo brings it back."""
        with self._desk.notices.caught():
            self._desk.service(HouseTakingOutService).opening(opening.id)
            self._desk.notices.tell(f"{opening.facts.name} is taken out. Undo brings it back.")

    def _list(self, title: str, lines: list[StackedLine]) -> None:
        stack = StackedList(self._desk, title, "")
        stack.set_lines(lines)
        self._column.addWidget(SectionHeading(title))
        self._column.addWidget(stack)

    def _core_sample(self, sheet: SurfaceSheet) -> Picture:
        sample = core_sample(self._desk, sheet)
        picture = Picture(lambda: self._desk.theme, f"{sheet.row.name} as a core sample")
        picture.set_drawing(
            lambda canvas: draw_core_sample(canvas, sample), lines=height_in_lines(sample), told=sample.told()
        )
        return picture

    def _captions(self, sheet: SurfaceSheet) -> list[str]:
        units = self._desk.units
        lines = []
        if sheet.resistance is not None:
            both = sheet.resistance
            lines.append(
                f"{show(both.mean_m2k_w, Dimension.R_VALUE, units)} with films, the mean of "
                f"{show(both.parallel_path_m2k_w, Dimension.R_VALUE, units)} by parallel paths and "
                f"{show(both.isothermal_planes_m2k_w, Dimension.R_VALUE, units)} by isothermal planes "
                "(ISO 6946)."
                + ("" if both.method_holds else " The two lie too far apart for their mean to be trusted.")
            )
        elif sheet.row.cannot_say:
            lines.append(sheet.row.cannot_say)
        if sheet.air is not None:
            inside = show(sheet.air.inside_c, Dimension.TEMPERATURE, units)
            outside = show(sheet.air.outside_c, Dimension.TEMPERATURE, units)
            lines.append(
                f"Figures for the design day: {inside} and {sheet.air.inside_humidity:.0%} inside, {outside} "
                f"and {sheet.air.outside_humidity:.0%} outside (humidities assumed)."
            )
            if any(face.would_condense for face in sheet.faces):
                lines.append(SCREENING)
        if sheet.faces_cannot_say:
            lines.append(sheet.faces_cannot_say)
        about = [f"{show(sheet.row.area_m2, Dimension.AREA, units)}, {sheet.row.beyond}"]
        if sheet.facts.solar_absorptance is not None:
            about.append(f"takes up {show(sheet.facts.solar_absorptance, Dimension.SHARE, units)} of the sun")
        if sheet.facts.passage_area_m2 is not None:
            about.append(f"open passage {show(sheet.facts.passage_area_m2, Dimension.AREA, units)}")
        if sheet.facts.exposed_perimeter_m is not None:
            about.append(f"exposed edge {show(sheet.facts.exposed_perimeter_m, Dimension.LENGTH, units)}")
        if sheet.shared_by > 1:
            about.append(f"{count_text(sheet.shared_by, 'face is', 'faces are')} made this way")
        lines.append("; ".join(about) + ".")
        known = certainty_line(sheet.sources)
        source = f"Layers: {sheet.construction_source}." if sheet.construction_source else ""
        lines += [
            part for part in (" ".join(one for one in (source, known) if one), sheet.facts.notes) if part
        ]
        return lines

    def _fill_opening(self, opening: OpeningSheet) -> None:
        facts = opening.facts
        desk, units = self._desk, self._desk.units
        title = SectionHeading(facts.name, facts.kind)
        button = QPushButton("Change …")
        button.setAccessibleName(f"Change {facts.name}")
        button.clicked.connect(lambda _checked=False: self.change_opening(opening))
        title.row.addWidget(button)
        out = QPushButton("Take out")
        out.setAccessibleName(f"Take out {facts.name}")
        out.clicked.connect(lambda _checked=False: self._take_opening_out(opening))
        title.row.addWidget(out)
        self._column.addWidget(title)
        answer = soft_label("")
        answer.hide()
        if facts.kind == "window":
            which = QPushButton("Which way should it open?")
            which.setAccessibleName(f"Which way should {facts.name} open?")
            which.clicked.connect(lambda _checked=False: self._say_hinge(opening, answer))
            title.row.insertWidget(title.row.count() - 2, which)
        size = (
            f"{show(facts.width_m, Dimension.LENGTH, units)} wide, "
            f"{show(facts.height_m, Dimension.LENGTH, units)} high"
        )
        many = f"{facts.count} of them, " if facts.count > 1 else ""
        panes = {None: "panes not counted", 1: "one pane"}.get(facts.panes, f"{facts.panes} panes")
        frame = "" if facts.frame == "other" else f", {facts.frame} frame"
        hinge = "" if facts.hinge == "none" else f", hinged at the {facts.hinge} seen from outside"
        lines = [
            f"{many}{size}, {facts.operation}{hinge}{frame}, {panes}. "
            f"U {stated_text(desk, facts.u_value_w_m2k, Dimension.U_VALUE)}, "
            f"SHGC {stated_text(desk, facts.shgc, Dimension.PLAIN)}.",
            glass_words(desk, opening),
            shade_words(desk, opening),
        ]
        known = certainty_line(opening.sources)
        for words in (*lines, known):
            if words:
                self._column.addWidget(soft_label(words))
        self._column.addWidget(answer)
        if opening.is_glass:
            self._column.addWidget(self._sun(opening))

    def _say_hinge(self, opening: OpeningSheet, answer: QLabel) -> None:
        try:
            answer.setText(hinge_words(self._desk.service(AiringService).hinge(opening.id)))
        except DeskError as error:
            answer.setText(in_one_line(error))
        answer.show()

    def _sun(self, opening: OpeningSheet) -> QWidget:
        section = sun_section(self._desk, opening)
        if not any(sun.profile_angle_deg is not None for sun in section.suns):
            return soft_label(
                "The noon sun never stands before this wall."
                if section.suns
                else "The noon sun cannot be said: the house's place or the wall's direction is missing."
            )
        picture = Picture(lambda: self._desk.theme, f"{opening.facts.name} and the noon sun")
        picture.set_drawing(
            lambda canvas: draw_window_sun(canvas, section), lines=17.0, columns=50.0, told=section.told()
        )
        return picture


def core_sample(desk: Desk, sheet: SurfaceSheet) -> CoreSample:
    """The face as its drawing takes it, in the units of now."""
    units = desk.units
    step, label = RULERS[units]
    summary = ""
    if sheet.resistance is not None:
        u_value = show(sheet.resistance.u_value_w_m2k, Dimension.U_VALUE, units)
        summary = f"U {u_value} · {show(sheet.resistance.mean_m2k_w, Dimension.R_VALUE, units)}"
    return CoreSample(
        layers=tuple(_core_layer(desk, layer) for layer in sheet.layers),
        faces=tuple(
            CoreFace(
                show(face.temp_c, Dimension.TEMPERATURE, units),
                "" if face.dew_point_c is None else show(face.dew_point_c, Dimension.TEMPERATURE, units),
                face.would_condense,
            )
            for face in sheet.faces
        ),
        summary=summary,
        outside=sheet.row.beyond.split(",")[0].removeprefix("to "),
        inside=sheet.room,
        ruler_step_m=step,
        ruler_label=label,
    )


def _core_layer(desk: Desk, layer: LayerRow) -> CoreLayer:
    framed = ""
    if layer.framing_fraction:
        framed = f", {show(layer.framing_fraction, Dimension.SHARE, desk.units)} framing"
    return CoreLayer(
        name=f"{layer.name}{framed}",
        thickness_m=layer.thickness_m.value or 0.0,
        thickness_text=stated_text(desk, layer.thickness_m, Dimension.THICKNESS)
        if layer.thickness_m.is_known
        else f"depth {layer.thickness_m.stated}",
        resistance_text=maybe_text(desk, layer.resistance_m2k_w, Dimension.R_VALUE, "cannot say"),
        section=section_of(layer.name, layer.material_key, layer.stated_resistance_m2k_w is not None),
        framing=section_of("", layer.framing_material_key, False) if layer.framing_fraction else None,
    )


def section_of(name: str, material_key: str, by_resistance: bool) -> Section:
    """The hatch of a layer by its material, else by what it is called."""
    material = materials().get(material_key)
    wanted = f"{material_key} {name}".lower()
    found = next((section for word, section in WORDS if word in wanted), None)
    if found is not None:
        return found
    if material is None:
        if by_resistance or "empty" in wanted:
            return Section.AIR
        return next((section for word, section in OF_ITS_NAME if word in wanted), Section.OTHER)
    if material.family == "insulation":
        return Section.RIGID_INSULATION if material_key in RIGID else Section.SOFT_INSULATION
    return FAMILIES.get(material.family, Section.OTHER)


def sun_section(desk: Desk, opening: OpeningSheet) -> SunSection:
    """The window in section with the noon sun of three days."""
    units = desk.units
    depth, above = opening.facts.overhang_depth_m, opening.facts.overhang_above_head_m
    if depth > 0:
        reach = show(depth, Dimension.LENGTH, units)
        overhang = f"Overhang {reach}, {show(above, Dimension.LENGTH, units)} above the glass"
    else:
        overhang = "No overhang"
    suns = tuple(
        NoonSun(
            noon.day,
            noon.profile_angle_deg,
            0.0
            if noon.profile_angle_deg is None
            else lit_share(opening.facts.height_m, depth, above, noon.profile_angle_deg),
        )
        for noon in opening.noon
    )
    return SunSection(
        glass_height_m=opening.facts.height_m,
        overhang_depth_m=depth,
        overhang_above_m=above,
        glass_text=f"{show(opening.facts.height_m, Dimension.LENGTH, units)} of glass",
        overhang_text=overhang,
        suns=suns,
    )
