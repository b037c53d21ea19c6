"""A wall as a core sample: its layers to scale under a ruler, with figures at every layer face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt

from retrofit_desk.desk.pictures.canvas import (
    BOTTOM,
    CENTER,
    HAIR,
    HEAVY,
    LEFT,
    MIDDLE,
    RIGHT,
    THIN,
    TOP,
    Canvas,
)
from retrofit_desk.desk.pictures.section_hatch import Section, draw_section
from retrofit_desk.desk.widgets.notch import Notch

NARROWEST_EM = 0.5
FRAMED_SHARE = 0.24  # height of the strip that shows the framing


@dataclass(frozen=True)
class CoreLayer:
    """One layer, outside to inside: name, true thickness, texts, and the framing that crosses it if any."""

    name: str
    thickness_m: float
    thickness_text: str
    resistance_text: str
    section: Section
    framing: Section | None = None


@dataclass(frozen=True)
class CoreFace:
    """The figures at one face between layers, in words: temperature, dew point of the air there."""

    temperature_text: str
    dew_point_text: str = ""
    needs_owner: bool = False  # the face is colder than the dew point


@dataclass(frozen=True)
class CoreSample:
    """What is drawn: layers from outside to inside, one face more than layers, and the line below."""

    layers: tuple[CoreLayer, ...]
    faces: tuple[CoreFace, ...] = ()
    summary: str = ""  # "U 0.061 Btu/(h·ft²·°F) · through cavity and framing"
    outside: str = "outside"
    inside: str = "inside"
    ruler_step_m: float = 0.0254
    ruler_label: str = "inches"

    def told(self) -> str:
        """The sample in words, from outside to inside."""
        parts = [f"{one.name} {one.thickness_text}, {one.resistance_text}" for one in self.layers]
        return f"From {self.outside} to {self.inside}: " + "; ".join(parts) + f". {self.summary}"


def height_in_lines(sample: CoreSample) -> float:
    """How many lines of text high the drawing wants to be."""
    return 12.2 + len(sample.layers) * 1.1 + (2.4 if sample.faces else 0.0)


def draw_core_sample(canvas: Canvas, sample: CoreSample) -> None:
    """Ruler on top, the cut in the middle, figures at the faces, the list of layers below."""
    if not sample.layers:
        return
    em, area = canvas.em, canvas.area
    edges = _edges(canvas, sample)
    ruler_y = area.top() + em * 1.5
    cut = QRectF(edges[0], ruler_y + em * 0.6, edges[-1] - edges[0], em * 6.4)
    _draw_ruler(canvas, sample, edges, ruler_y)
    for number, layer in enumerate(sample.layers):
        _draw_layer(
            canvas, layer, QRectF(edges[number], cut.top(), edges[number + 1] - edges[number], cut.height())
        )
    canvas.box(cut, canvas.tokens.ink, HEAVY)
    for number in range(len(sample.layers)):
        _draw_number(canvas, number + 1, (edges[number] + edges[number + 1]) / 2, cut)
    sides = QRectF(area.left(), cut.top(), cut.left() - area.left() - em * 0.5, cut.height())
    canvas.text(sides, sample.outside, RIGHT | MIDDLE, color=canvas.tokens.soft_ink)
    other = QRectF(cut.right() + em * 0.5, cut.top(), area.right() - cut.right(), cut.height())
    canvas.text(other, sample.inside, LEFT | MIDDLE, color=canvas.tokens.soft_ink)
    below = cut.bottom() + em * 0.3
    if sample.faces:
        below = _draw_faces(canvas, sample.faces, edges, below)
    _draw_list(canvas, sample, below + em * 1.4)


def _edges(canvas: Canvas, sample: CoreSample) -> list[float]:
    """Face positions in px: to scale, but no layer thinner than can be seen."""
    em, area = canvas.em, canvas.area
    margin = max(canvas.width_of(sample.outside), canvas.width_of(sample.inside)) + em * 1.2
    room = area.width() - 2 * margin
    whole = sum(layer.thickness_m for layer in sample.layers) or 1.0
    least = em * NARROWEST_EM
    thin = [layer for layer in sample.layers if layer.thickness_m / whole * room < least]
    left_over = room - least * len(thin)
    thick = whole - sum(layer.thickness_m for layer in thin) or 1.0
    edges = [area.left() + margin]
    for layer in sample.layers:
        width = least if layer in thin else layer.thickness_m / thick * left_over
        edges.append(edges[-1] + width)
    return edges


def _draw_ruler(canvas: Canvas, sample: CoreSample, edges: Sequence[float], y: float) -> None:
    """A ruler whose ticks follow the drawn thicknesses; long ticks every fourth step."""
    em, tokens = canvas.em, canvas.tokens
    canvas.pen(tokens.ink, THIN)
    canvas.line(edges[0], y, edges[-1], y)
    whole = sum(layer.thickness_m for layer in sample.layers)
    steps = int(whole / sample.ruler_step_m + 1e-9)
    every = max(1, round(steps / 16))
    spots = [
        (number, _at(sample, edges, number * sample.ruler_step_m)) for number in range(0, steps + 1, every)
    ]
    for count, (number, x) in enumerate(spots):
        long_tick = count % 4 == 0
        canvas.pen(tokens.ink, THIN if long_tick else HAIR)
        canvas.line(x, y, x, y - em * (0.45 if long_tick else 0.25))
        if long_tick:
            words = QRectF(x - em * 2, y - em * 1.5, em * 4, em)
            canvas.text(words, str(number), CENTER | BOTTOM, color=tokens.soft_ink, scale=0.85)
    label = QRectF(edges[-1] + em * 0.5, y - em * 0.9, em * 8, em)
    canvas.text(label, sample.ruler_label, LEFT | MIDDLE, color=tokens.soft_ink, scale=0.85)


def _at(sample: CoreSample, edges: Sequence[float], depth_m: float) -> float:
    gone = 0.0
    for number, layer in enumerate(sample.layers):
        if depth_m <= gone + layer.thickness_m + 1e-12 and layer.thickness_m > 0:
            share = (depth_m - gone) / layer.thickness_m
            return edges[number] + share * (edges[number + 1] - edges[number])
        gone += layer.thickness_m
    return edges[-1]


def _draw_layer(canvas: Canvas, layer: CoreLayer, area: QRectF) -> None:
    canvas.fill(area, canvas.tokens.sheet)
    if layer.framing is None:
        draw_section(canvas, area, layer.section)
    else:
        strip = area.height() * FRAMED_SHARE
        draw_section(canvas, area.adjusted(0, 0, 0, -strip), layer.section)
        framed = QRectF(area.left(), area.bottom() - strip, area.width(), strip)
        draw_section(canvas, framed, layer.framing)
        canvas.pen(canvas.tokens.ink, THIN)
        canvas.line(area.left(), framed.top(), area.right(), framed.top())
    canvas.pen(canvas.tokens.ink, THIN)
    canvas.line(area.right(), area.top(), area.right(), area.bottom())


def _draw_number(canvas: Canvas, number: int, x: float, cut: QRectF) -> None:
    em = canvas.em
    patch = QRectF(x - em * 0.42, cut.top() + em * 0.35, em * 0.84, em * 1.0)
    canvas.fill(patch, canvas.tokens.sheet)
    canvas.text(patch, str(number), CENTER | MIDDLE, strong=True, scale=0.9, elide=False)


def _draw_faces(canvas: Canvas, faces: Sequence[CoreFace], edges: Sequence[float], top: float) -> float:
    """Figures below the faces they belong to; close ones step down so that none covers another."""
    em, tokens = canvas.em, canvas.tokens
    row_ends: list[float] = []
    rows = 0
    figures: list[tuple[QRectF, str, bool]] = []
    for face, x in zip(faces, edges, strict=False):
        words = face.temperature_text + (f" · dew {face.dew_point_text}" if face.dew_point_text else "")
        width = canvas.width_of(words, scale=0.85) + em * (1.2 if face.needs_owner else 0.4)
        left = min(max(x - width / 2, canvas.area.left()), canvas.area.right() - width)
        row = next((i for i, end in enumerate(row_ends) if left > end), len(row_ends))
        if row == len(row_ends):
            row_ends.append(0.0)
        row_ends[row] = left + width
        rows = max(rows, row + 1)
        y = top + em * (0.3 + row * 1.1)
        canvas.pen(tokens.copper if face.needs_owner else tokens.hatch, HAIR)
        canvas.line(x, top, x, y + em * 0.1)
        figures.append((QRectF(left, y, width, em * 1.1), words, face.needs_owner))
    for spot, words, needs_owner in figures:  # after all lines, so that none runs through a figure
        canvas.fill(spot.adjusted(0, em * 0.1, -em * 0.2, -em * 0.1), tokens.paper)
        if needs_owner:
            notch = QRectF(spot.left(), spot.top() + em * 0.25, em * 0.7, em * 0.7)
            Notch.draw(canvas.painter, notch, tokens)
        beside = spot.adjusted(em * 0.9 if needs_owner else 0.0, 0, em, 0)
        canvas.text(beside, words, LEFT | MIDDLE, color=tokens.copper if needs_owner else "", scale=0.85)
    return top + em * (0.3 + rows * 1.1)


def _draw_list(canvas: Canvas, sample: CoreSample, bottom_of_head: float) -> None:
    em, area, tokens = canvas.em, canvas.area, canvas.tokens
    y = bottom_of_head - em * 0.9
    right = canvas.width_of("R-00.0 mean") + em * 2
    for number, layer in enumerate(sample.layers, start=1):
        canvas.text(QRectF(area.left(), y, em * 1.4, em * 1.1), str(number), RIGHT | MIDDLE, strong=True)
        middle = area.width() - em * 2 - right * 2
        canvas.text(QRectF(area.left() + em * 2, y, middle, em * 1.1), layer.name, LEFT | MIDDLE)
        thick = QRectF(area.right() - right * 2, y, right, em * 1.1)
        canvas.text(thick, layer.thickness_text, RIGHT | MIDDLE)
        canvas.text(QRectF(area.right() - right, y, right, em * 1.1), layer.resistance_text, RIGHT | MIDDLE)
        y += em * 1.1
    canvas.pen(tokens.ink, THIN)
    canvas.line(area.left(), y + em * 0.15, area.right(), y + em * 0.15)
    summary = QRectF(area.left(), y + em * 0.25, area.width(), em * 1.2)
    canvas.text(summary, sample.summary, Qt.AlignmentFlag.AlignRight | TOP, strong=True)
