"""A look at one paper: a photo, or the pages of a PDF, fitted to the place there is."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QImage, QImageReader, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.pdf_page import PdfPages
from retrofit_desk.desk.widgets.text import soft_label

UNREADABLE = "This PDF cannot be read. The file is kept as it is."


class _Sheet(QWidget):
    """The picture itself, as large as fits, on a hairline."""

    resized = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._image = QImage()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(160, 120)

    def sizeHint(self) -> QSize:
        """As high as the picture is at this width."""
        if self._image.isNull():
            return QSize(360, 420)
        size = self._image.size()
        return QSize(360, round(self.width() * size.height() / size.width()) + 2)

    def show_image(self, image: QImage) -> None:
        self._image = image
        self.updateGeometry()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()
        self.resized.emit()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._image.isNull():
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        size = self._image.size().scaled(self.size() - QSize(2, 2), Qt.AspectRatioMode.KeepAspectRatio)
        place = QRectF((self.width() - size.width()) / 2, 1, size.width(), size.height())
        painter.drawImage(place, self._image)
        painter.setPen(QPen(QColor(self._desk.theme.line), 1))
        painter.drawRect(place)
        painter.end()


class PaperView(QWidget):
    """Shows a file of a known media type; page through with the buttons or Page Up and Page Down."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setAccessibleName("Preview")
        self._pages: PdfPages | None = None
        self._at = 0
        self._sheet = _Sheet(desk)
        self._word = soft_label("", wraps=True)
        self._number = QLabel()
        self._back, self._on = QToolButton(), QToolButton()
        for button, words, step in ((self._back, "Page before", -1), (self._on, "Next page", 1)):
            button.setText("‹" if step < 0 else "›")
            button.setAccessibleName(words)
            button.setToolTip(words)
            button.clicked.connect(lambda _checked=False, step=step: self.turn(step))
        row = QHBoxLayout()
        for part in (self._back, self._number, self._on):
            row.addWidget(part)
        row.addStretch(1)
        self._row = QWidget()
        self._row.setLayout(row)
        row.setContentsMargins(0, 0, 0, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._word)
        column.addWidget(self._sheet, 1)
        column.addWidget(self._row)
        self._sheet.resized.connect(self._draw)
        self.clear("")

    def clear(self, word: str) -> None:
        """Nothing to see; `word` says why."""
        self._pages = None
        self._word.setText(word)
        self._word.setVisible(bool(word))
        self._sheet.hide()
        self._row.hide()

    def show_file(self, path: Path, media_type: str) -> None:
        """Show the file, or say in a line why it cannot be shown."""
        self.clear("")
        if media_type == "application/pdf":
            self._show_pdf(path)
            return
        if not media_type.startswith("image/"):
            self.clear("This kind of file is kept as it is and has no preview.")
            return
        reader = QImageReader(str(path))
        reader.setAutoTransform(True)
        image = reader.read()
        if image.isNull():
            self.clear("This picture cannot be read. The file is kept as it is.")
            return
        self._sheet.show_image(image)
        self._sheet.show()

    @property
    def page_count(self) -> int:
        """Pages of the PDF shown; 0 where there is none."""
        return 0 if self._pages is None else self._pages.count

    def turn(self, step: int) -> None:
        """Go to another page."""
        if self._pages is not None:
            self._at = min(max(self._at + step, 0), self._pages.count - 1)
            self._draw()

    def _show_pdf(self, path: Path) -> None:
        try:
            self._pages = PdfPages(path)
        except ValueError:
            self.clear(UNREADABLE)
            return
        self._at = 0
        self._sheet.show()
        self._row.setVisible(self._pages.count > 1)
        self._draw()

    def _draw(self) -> None:
        if self._pages is None:
            return
        ratio = self.devicePixelRatioF()
        width = max(round(self._sheet.width() * ratio), 200)
        try:
            self._sheet.show_image(self._pages.image(self._at, width))
        except ValueError:
            self.clear(UNREADABLE)
            return
        self._number.setText(f"Page {self._at + 1} of {self._pages.count}")
        self._back.setEnabled(self._at > 0)
        self._on.setEnabled(self._at < self._pages.count - 1)
