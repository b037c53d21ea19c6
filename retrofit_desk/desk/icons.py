"""The shipped line drawings, in the ink of the moment."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from retrofit_desk.records.shipped import shipped_folder

DRAWN_IN = "#25211b"  # the stroke color inside the files
SIZES_PX = (16, 20, 24, 32, 48)


@lru_cache(maxsize=256)
def icon_pixmap(name: str, color: str, size_px: int, ratio: float = 1.0) -> QPixmap:
    """`assets/icons/NAME.svg` in one color, `size_px` logical pixels wide."""
    text = (shipped_folder("assets") / "icons" / f"{name}.svg").read_text(encoding="utf-8")
    pixmap = QPixmap(round(size_px * ratio), round(size_px * ratio))
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    QSvgRenderer(QByteArray(text.replace(DRAWN_IN, color).encode())).render(painter, QRectF(pixmap.rect()))
    painter.end()
    pixmap.setDevicePixelRatio(ratio)
    return pixmap


def icon(name: str, color: str) -> QIcon:
    """The same drawing as an icon for buttons and menus."""
    made = QIcon()
    for size in SIZES_PX:
        made.addPixmap(icon_pixmap(name, color, size))
    return made
