"""The notch: the shape beside whatever needs the owner, so that color never speaks alone."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF


def notch_shape(area: QRectF) -> list[QPointF]:
    """A square with a V cut into its right side, in `area`."""
    left, top, right, bottom = area.left(), area.top(), area.right(), area.bottom()
    middle = (top + bottom) / 2
    cut = left + (right - left) * 0.45
    return [
        QPointF(left, top),
        QPointF(right, top),
        QPointF(cut, middle),
        QPointF(right, bottom),
        QPointF(left, bottom),
    ]
