"""The sheet every packet is drawn on: letter paper, fonts, styles, header, footer, numbers and bookmarks."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.lib.pagesizes import letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph

from retrofit_desk.paperwork.marks import HAIR, HEAVY, INK, LINE, MEDIUM, SOFT_INK, THIN, notch
from retrofit_desk.records.shipped import shipped_folder

rl_config.useA85 = 0  # pictures as bytes: a quarter smaller than as printable letters

PAGE_WIDTH, PAGE_HEIGHT = letter
MARGIN = 54.0
TOP, BOTTOM = 66.0, 54.0
WIDTH = PAGE_WIDTH - 2 * MARGIN
HEIGHT = PAGE_HEIGHT - TOP - BOTTOM
TEXT, BOLD, ITALIC = "Desk", "Desk-Semibold", "Desk-Italic"

ALIKE = "alike_on_every_sheet"  # a name in the file: without spaces, or some readers show nothing

_FONT_FILES = {
    TEXT: "SourceSansPro-Regular.ttf",
    BOLD: "SourceSansPro-Semibold.ttf",
    ITALIC: "SourceSansPro-It.ttf",
}


@cache
def load_fonts() -> None:
    """Register the shipped fonts once; they are embedded in every packet, cut down to the letters used."""
    folder = shipped_folder("assets") / "fonts"
    for name, file in _FONT_FILES.items():
        registerFont(TTFont(name, str(folder / file)))
    registerFontFamily(TEXT, normal=TEXT, bold=BOLD, italic=ITALIC, boldItalic=BOLD)


def _style(name: str, font: str, size: float, lead: float, **more: Any) -> ParagraphStyle:
    more.setdefault("textColor", INK)
    return ParagraphStyle(name, fontName=font, fontSize=size, leading=lead, splitLongWords=1, **more)


BODY = _style("body", TEXT, 9.5, 12.5)
CELL = _style("cell", TEXT, 8.5, 10.5)
NUMBER = _style("number", TEXT, 8.5, 10.5, alignment=2)
HEAD = _style("head", BOLD, 8, 9.6, textColor=SOFT_INK)
NUMBER_HEAD = _style("number head", BOLD, 8, 9.6, textColor=SOFT_INK, alignment=2)
NOTE = _style("note", TEXT, 8, 10, textColor=SOFT_INK)
TITLE = _style("title", BOLD, 25, 29)
SUBTITLE = _style("subtitle", TEXT, 12, 16, textColor=SOFT_INK)
SUBSECTION = _style("subsection", BOLD, 10.5, 13.5, spaceBefore=9, spaceAfter=3, keepWithNext=1)


LONG_HEAD = _style("long head", BOLD, 10.5, 13.5, spaceBefore=9, spaceAfter=3)


def text(words: str, style: ParagraphStyle = BODY) -> Paragraph:
    """A paragraph of plain words; what looks like markup in them is shown as it stands."""
    escaped = words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return Paragraph(escaped.replace("\n", "<br/>"), style)


@dataclass
class Numbers:
    """Page numbers that earlier pages ask for and only the finished packet knows."""

    page_of: dict[str, int] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)

    def ask(self, canvas: Any, key: str, x: float, y: float) -> None:
        """Leave a place for a number that `Closing` draws: right-aligned at `x`, "total" left-aligned."""
        if key not in self.asked:
            self.asked.append(key)
        canvas.saveState()
        canvas.translate(x, y)
        canvas.doForm(f"No.{key}")
        canvas.restoreState()


class Landmark(Flowable):
    """Zero-size: a bookmark, an outline entry and a number for the contents page."""

    def __init__(self, numbers: Numbers, key: str, title: str, level: int = 0) -> None:
        super().__init__()
        self.numbers, self.key, self.title, self.level = numbers, key, title, level
        self.width = self.height = 0.0
        self.keepWithNext = 1

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        self.numbers.page_of[self.key] = self.canv.getPageNumber()
        self.canv.bookmarkPage(self.key)
        self.canv.addOutlineEntry(self.title, self.key, level=self.level, closed=self.level > 0)


class ContentsRow(Flowable):
    """One line of the contents page: title, leader, page number, linked."""

    def __init__(self, numbers: Numbers, key: str, title: str, *, level: int = 0) -> None:
        super().__init__()
        self.numbers, self.key, self.title, self.level = numbers, key, title, level
        self.size = 8.5 if level else 10
        self.tall = self.size * (1.4 if level else 1.75)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, self.tall
        return self.width, self.height

    def draw(self) -> None:
        canvas, indent = self.canv, 14.0 * self.level
        font = TEXT if self.level else BOLD
        title = shortened(self.title, font, self.size, self.width - indent - 60)
        canvas.setFont(font, self.size)
        canvas.setFillColor(INK)
        canvas.drawString(indent, 3, title)
        end = indent + stringWidth(title, font, self.size) + 6
        canvas.setStrokeColor(LINE)
        canvas.setLineWidth(HAIR)
        canvas.line(end, 4, self.width - 28, 4)
        self.numbers.ask(canvas, self.key, self.width, 3)
        canvas.linkRect("", self.key, (0, 0, self.width, self.height), relative=1, thickness=0)


def shortened(words: str, font: str, size: float, width: float) -> str:
    """The words, cut with an ellipsis where they would run past `width` points."""
    if stringWidth(words, font, size) <= width:
        return words
    kept = words
    while kept and stringWidth(kept + "…", font, size) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


class Closing(Flowable):
    """Last in the packet: draws every number that was asked for."""

    def __init__(self, numbers: Numbers) -> None:
        super().__init__()
        self.numbers = numbers
        self.width = self.height = 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        canvas = self.canv
        for key in self.numbers.asked:
            total = key == "total"
            words = str(canvas.getPageNumber() if total else self.numbers.page_of.get(key, ""))
            canvas.beginForm(f"No.{key}", -40, -4, 40, 12)
            canvas.setFont(TEXT, 8 if total else 9)
            canvas.setFillColor(SOFT_INK if total else INK)
            (canvas.drawString if total else canvas.drawRightString)(0, 0, words)
            canvas.endForm()


class SectionHead(Flowable):
    """A heading over a heavy rule, never left alone at the foot of a sheet."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self.title = title
        self.keepWithNext = 1
        self.spaceBefore, self.spaceAfter = 16.0, 7.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, 24.0
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 15)
        canvas.drawString(0, 8, self.title)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(HEAVY)
        canvas.line(0, 0, self.width, 0)


class NeedsOwner(Flowable):
    """A paragraph in the margin's notch: something the owner must still do."""

    def __init__(self, words: str, style: ParagraphStyle = BODY) -> None:
        super().__init__()
        self.paragraph = text(words, style)
        self.spaceAfter = 3.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        _, self.height = self.paragraph.wrap(width - 14, height)
        return width, self.height

    def draw(self) -> None:
        notch(self.canv, 1, self.height - 9.5, 7)
        self.paragraph.drawOn(self.canv, 14, 0)


class CheckLine(Flowable):
    """A paragraph after an open square to be ticked by hand."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.paragraph = text(words)
        self.spaceAfter = 3.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        _, self.height = self.paragraph.wrap(width - 16, height)
        return width, self.height

    def draw(self) -> None:
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN)
        self.canv.rect(1, self.height - 10, 7.5, 7.5)
        self.paragraph.drawOn(self.canv, 16, 0)


class Sheet(BaseDocTemplate):
    """Letter pages with a quiet header and "Page x of y" below; draws the story in one pass."""

    def __init__(
        self, target: BytesIO, numbers: Numbers, *, heading: str, right: str, foot: str, title: str
    ) -> None:
        load_fonts()
        super().__init__(target, pagesize=letter, title=title, invariant=1, lang="en-US", pageCompression=1)
        self.numbers, self.heading, self.right, self.foot = numbers, heading, right, foot
        frame = Frame(
            MARGIN, BOTTOM, WIDTH, HEIGHT, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0
        )
        self.addPageTemplates([PageTemplate("sheet", [frame], onPage=self._furniture)])

    def _furniture(self, canvas: Any, _doc: Any) -> None:
        """What is alike on every sheet is drawn once and shown again."""
        if canvas.getPageNumber() == 1:
            self._draw_alike(canvas)
        canvas.doForm(ALIKE)
        right_end = PAGE_WIDTH - MARGIN
        canvas.saveState()
        canvas.setFillColor(SOFT_INK)
        canvas.setFont(TEXT, 8)
        canvas.drawRightString(right_end - 22, 32, f"Page {canvas.getPageNumber()} of")
        self.numbers.ask(canvas, "total", right_end - 19, 32)
        canvas.restoreState()

    def _draw_alike(self, canvas: Any) -> None:
        top, right_end = PAGE_HEIGHT - 44, PAGE_WIDTH - MARGIN
        canvas.beginForm(ALIKE, 0, 0, PAGE_WIDTH, PAGE_HEIGHT)
        canvas.setFillColor(SOFT_INK)
        canvas.setStrokeColor(INK)
        canvas.setFont(TEXT, 8)
        canvas.drawString(MARGIN, top, self.heading)
        canvas.drawRightString(right_end, top, shortened(self.right, TEXT, 8, WIDTH * 0.6))
        canvas.setLineWidth(THIN)
        canvas.line(MARGIN, top - 6, right_end, top - 6)
        canvas.drawString(MARGIN, 32, shortened(self.foot, TEXT, 8, WIDTH - 90))
        canvas.setLineWidth(HAIR)
        canvas.line(MARGIN, 43, right_end, 43)
        canvas.endForm()


def rule(weight: float = MEDIUM) -> Flowable:
    """A ruled line over the whole width."""
    from reportlab.platypus import HRFlowable

    return HRFlowable(width="100%", thickness=weight, color=INK, spaceBefore=4, spaceAfter=6, lineCap="butt")
