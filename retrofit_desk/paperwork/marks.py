"""Hatches, notches and readiness marks, drawn in ink so that they survive a gray printer."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from retrofit_desk.rules.matching import Readiness

INK = HexColor("#25211b")
SOFT_INK = HexColor("#625a4d")
LINE = HexColor("#c3b8a4")
HATCH = HexColor("#8a8070")
COPPER = HexColor("#98481a")
"""Only for what needs the owner, always with a notch."""

HAIR, THIN, MEDIUM, HEAVY = 0.25, 0.5, 0.9, 1.6
"""Drafting line weights in points."""


def hatch(canvas: Any, x: float, y: float, width: float, height: float, *, step: float = 3.0) -> None:
    """Fill a rectangle with 45 degree lines in ink; `step` is their horizontal distance in points."""
    if width <= 0 or height <= 0:
        return
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(x, y, width, height)
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(THIN)
    lines, start = [], x - height
    for i in range(int((width + height) / step) + 1):
        left = start + i * step
        lines.append((left, y, left + height, y + height))
    canvas.lines(lines)
    canvas.restoreState()


def notch(canvas: Any, x: float, y: float, size: float = 6.0) -> None:
    """A copper wedge pointing right: this needs the owner. `x`, `y`: its lower left corner."""
    path = canvas.beginPath()
    path.moveTo(x, y)
    path.lineTo(x + size * 0.75, y + size / 2)
    path.lineTo(x, y + size)
    path.close()
    canvas.setFillColor(COPPER)
    canvas.drawPath(path, stroke=0, fill=1)


class ReadinessMark(Flowable):
    """The word for one needed thing with its mark: a filled, open, hatched or halved square."""

    def __init__(self, word: Readiness, font: str, size: float) -> None:
        super().__init__()
        self.word, self.font, self.size = word, font, size

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, self.size * 1.3
        return self.width, self.height

    def draw(self) -> None:
        canvas, side = self.canv, self.size * 0.78
        bottom = self.size * 0.2
        if self.word is not Readiness.HAVE:
            notch(canvas, 0, bottom, side)
        _square(canvas, self.word, side, bottom)
        canvas.setFillColor(INK if self.word is Readiness.HAVE else COPPER)
        canvas.setFont(self.font, self.size)
        canvas.drawString(side * 2 + 5, self.size * 0.3, self.word.value)


def _square(canvas: Any, word: Readiness, side: float, bottom: float) -> None:
    left = side
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK)
    canvas.setLineWidth(THIN)
    if word is Readiness.OUT_OF_DATE:
        hatch(canvas, left, bottom, side, side, step=2.0)
    if word is Readiness.DOES_NOT_MATCH:
        path = canvas.beginPath()
        path.moveTo(left, bottom)
        path.lineTo(left + side, bottom)
        path.lineTo(left + side, bottom + side)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
    canvas.rect(left, bottom, side, side, stroke=1, fill=int(word is Readiness.HAVE))
