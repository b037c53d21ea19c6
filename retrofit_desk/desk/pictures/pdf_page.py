"""One page of a PDF as a picture."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QImage


class PdfPages:
    """The pages of one PDF file; rendered when asked for."""

    def __init__(self, path: Path) -> None:
        """Raises `ValueError` if the file cannot be read as a PDF."""
        import pypdfium2

        try:
            self._document = pypdfium2.PdfDocument(path)
        except pypdfium2.PdfiumError as error:
            raise ValueError(str(error)) from error
        self.count = len(self._document)

    def image(self, number: int, width_px: int) -> QImage:
        """Page `number`, counted from 0, `width_px` wide."""
        page = self._document[number]
        bitmap = page.render(scale=width_px / page.get_width(), rev_byteorder=True, may_draw_forms=False)
        shape = bitmap.width, bitmap.height, bitmap.stride
        layout = QImage.Format.Format_RGB888 if bitmap.n_channels == 3 else QImage.Format.Format_RGBA8888
        # copied: the bitmap's memory goes with it
        return QImage(bytes(bitmap.buffer), *shape, layout).copy()

    def close(self) -> None:
        self._document.close()
