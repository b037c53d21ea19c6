"""The notched rule: one ruled line with seven cuts, the reached cuts filled with the hatch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPolygonF

from retrofit_desk.desk.pictures.canvas import BOTTOM, CENTER, HAIR, HEAVY, LEFT, RIGHT, THIN, Canvas
from retrofit_desk.desk.pictures.hatch import Hatch

STATES = ("idea", "priced", "committed", "under way", "in place", "signed off", "proven")


@dataclass(frozen=True)
class RuleState:
    """How far a measure is: cuts reached of seven; a word beside the line ("dropped"), or none."""

    reached: int
    aside: str = ""
    is_ended: bool = False  # dropped or replaced: the line breaks off after the last reached cut

    def told(self) -> str:
        """The state in words."""
        state = STATES[self.reached - 1] if self.reached else "not begun"
        return f"{state}, {self.aside}" if self.aside else state


def rule_state(word: str, before: str = "", states: Sequence[str] = STATES) -> RuleState:
    """From a state's word; `before` is the last cut of one that was "dropped" or "replaced"."""
    if word in states:
        return RuleState(states.index(word) + 1)
    if word in ("too soon", "not borne out"):
        return RuleState(len(states) - 1, word)
    return RuleState(states.index(before) + 1 if before in states else 1, word, is_ended=True)


def draw_notched_rule(canvas: Canvas, state: RuleState, *, with_words: bool = False) -> None:
    """The rule across the canvas; with words, the seven states stand below their cuts."""
    tokens, area, em = canvas.tokens, canvas.area, canvas.em
    top = area.top() + em * 0.25
    depth = min(em * 0.75, area.height() - em * 0.3)
    aside_width = canvas.width_of(state.aside) + em * 0.8 if state.aside else 0.0
    step = (area.width() - aside_width) / len(STATES)
    last = area.left() + step * (state.reached - 0.1 if state.is_ended else len(STATES))
    canvas.pen(tokens.ink, HEAVY)
    canvas.line(area.left(), top, last, top)
    for number, word in enumerate(STATES):
        middle = area.left() + step * (number + 0.5)
        reached = number < state.reached
        if state.is_ended and not reached:
            continue
        half = min(step * 0.34, em * 0.9)
        cut = QPolygonF(
            [QPointF(middle - half, top), QPointF(middle + half, top), QPointF(middle, top + depth)]
        )
        canvas.pen(tokens.ink if reached else tokens.hatch, THIN if reached else HAIR)
        brush = canvas.hatch_brush(Hatch.SLANT, tokens.ink, 0.2) if reached else QBrush(Qt.BrushStyle.NoBrush)
        canvas.painter.setBrush(brush)
        canvas.painter.drawPolygon(cut)
        if with_words:
            words = QRectF(middle - step / 2, top + depth, step, em * 1.2)
            is_last = number == state.reached - 1
            color = tokens.ink if reached else tokens.soft_ink
            canvas.text(words, word, CENTER | BOTTOM, color=color, strong=is_last, scale=0.9)
    if state.is_ended:
        _draw_break(canvas, last, top)
    if state.aside:
        beside = QRectF(area.right() - aside_width, area.top(), aside_width, em * 1.1)
        canvas.text(beside, state.aside, (LEFT if state.is_ended else RIGHT) | Qt.AlignmentFlag.AlignTop)


def _draw_break(canvas: Canvas, x: float, y: float) -> None:
    """The zigzag with which a drawing breaks off a line."""
    size = canvas.em * 0.3
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    canvas.pen(canvas.tokens.ink, THIN)
    points = [(0, 0), (0.4, -1), (0.9, 1), (1.3, 0), (1.8, 0)]
    canvas.painter.drawPolyline(QPolygonF([QPointF(x + dx * size, y + dy * size) for dx, dy in points]))
