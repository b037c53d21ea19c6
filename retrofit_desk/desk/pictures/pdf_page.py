"""One page of a PDF as a picture."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QImage

if TYPE_CHECKING:
    from pypdfium2 import PdfDocument


class PdfPages:
    """The pages of one PDF file; the file is opened only while a page is rendered."""

    def __init__(self, path: Path) -> None:
        """Raises `ValueError` if the file cannot be read as a PDF."""
        self._path = path
        with self._opened() as document:
            self.count = len(document)

    def image(self, number: int, width_px: int) -> QImage:
        """Page `number`, counted from 0, `width_px` wide. Raises `ValueError` if the file is gone by now."""
        with self._opened() as document:
            page = document[number]
            bitmap = page.render(scale=width_px / page.get_width(), rev_byteorder=True, may_draw_forms=False)
            shape = bitmap.width, bitmap.height, bitmap.stride
            layout = QImage.Format.Format_RGB888 if bitmap.n_channels == 3 else QImage.Format.Format_RGBA8888
            # copied: the bitmap's memory goes with it
            return QImage(bytes(bitmap.buffer), *shape, layout).copy()

    @contextmanager
    def _opened(self) -> Iterator[PdfDocument]:
        import pypdfium2

        try:
            document = pypdfium2.PdfDocument(self._path)
        except (pypdfium2.PdfiumError, OSError) as error:
            raise ValueError(str(error)) from error
        try:
            yield document
        finally:
            document.close()
