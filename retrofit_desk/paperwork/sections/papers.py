"""The filed papers behind: each page in a thin frame under its number, photos two to a sheet."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.layout import (
    BODY,
    BOLD,
    HEIGHT,
    TEXT,
    Landmark,
    NeedsOwner,
    Numbers,
    shortened,
)
from retrofit_desk.paperwork.marks import HAIR, INK, LINE, SOFT_INK
from retrofit_desk.paperwork.merging import Slot
from retrofit_desk.paperwork.papers import OpenedPaper, Picture
from retrofit_desk.paperwork.show import day

CAPTION = 28.0
PHOTO_HEIGHT = HEIGHT / 2 - 10


def papers(opened: tuple[OpenedPaper, ...], numbers: Numbers, slots: list[Slot]) -> list[Flowable]:
    """One frame per page of each paper; `slots` grows as the frames are drawn."""
    story: list[Flowable] = []
    for paper in opened:
        mark = Landmark(numbers, paper.key, paper.title, level=1)
        if paper.trouble:
            story.append(_Frame(paper, mark, "", 92.0))
        elif paper.picture:
            story.append(_Photo(paper, mark, paper.picture, slots))
        for number, page in enumerate(paper.pages, start=1):
            told = f"page {number} of {len(paper.pages)}"
            story.append(_PaperPage(paper, mark if number == 1 else None, told, page, slots))
    return story


class _Frame(Flowable):
    """A caption over a frame; alone it tells why a paper cannot be shown."""

    def __init__(self, paper: OpenedPaper, mark: Landmark | None, told: str, height: float) -> None:
        super().__init__()
        self.paper, self.mark, self.told, self.height = paper, mark, told, height
        self.spaceAfter = 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return width, self.height

    def draw(self) -> None:
        if self.mark is not None:
            self.mark.canv = self.canv
            self.mark.draw()
        self._caption()
        self.canv.setStrokeColor(LINE)
        self.canv.setLineWidth(HAIR)
        self.canv.rect(0, 0, self.width, self.height - CAPTION)
        self.fill()

    def fill(self) -> None:
        note = NeedsOwner(f"This paper {self.paper.trouble}.", BODY)
        _, tall = note.wrap(self.width - 24, self.height)
        note.drawOn(self.canv, 12, self.height - CAPTION - tall - 10)

    def _caption(self) -> None:
        canvas, item = self.canv, self.paper.item
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 9.5)
        canvas.drawString(0, self.height - 11, shortened(self.paper.title, BOLD, 9.5, self.width - 80))
        canvas.setFillColor(SOFT_INK)
        canvas.setFont(TEXT, 8)
        canvas.drawRightString(self.width, self.height - 11, self.told)
        parts = (
            item.kind,
            item.about,
            day(item.dated_on) if item.dated_on else "",
            self._seen(),
            self.paper.remark,
        )
        line = " · ".join(part for part in parts if part)
        canvas.drawString(0, self.height - 22, shortened(line, TEXT, 8, self.width))

    def _seen(self) -> str:
        item = self.paper.item
        taken = f"taken {day(item.taken_at.date())}, {item.taken_at:%H:%M}" if item.taken_at else ""
        return " · ".join(part for part in (taken, f"at {item.geotag}" if item.geotag else "") if part)


class _PaperPage(_Frame):
    """A frame over the whole sheet into which the paper's own page is set afterwards."""

    def __init__(
        self, paper: OpenedPaper, mark: Landmark | None, told: str, page: object, slots: list[Slot]
    ) -> None:
        super().__init__(paper, mark, told, HEIGHT - 1)
        self.spaceAfter = 0.0  # else the packet's closing would ask for a sheet of its own
        self.page, self.slots = page, slots

    def fill(self) -> None:
        x, y = self.canv.absolutePosition(0, 0)
        inner = self.height - CAPTION - 4
        sheet, number = self.canv.getPageNumber() - 1, self.paper.number
        self.slots.append(Slot(number, sheet, x + 2, y + 2, self.width - 4, inner, self.page))


class _Photo(_Frame):
    """A picture as large as half a sheet allows."""

    def __init__(self, paper: OpenedPaper, mark: Landmark, picture: Picture, slots: list[Slot]) -> None:
        super().__init__(paper, mark, "", PHOTO_HEIGHT)
        self.picture, self.slots = picture, slots

    def fill(self) -> None:
        room, tall = self.width - 8, self.height - CAPTION - 8
        scale = min(room / self.picture.width_px, tall / self.picture.height_px)
        wide, high = self.picture.width_px * scale, self.picture.height_px * scale
        x, y = self.canv.absolutePosition((self.width - wide) / 2, 4 + (tall - high) / 2)
        sheet = self.canv.getPageNumber() - 1
        self.slots.append(Slot(self.paper.number, sheet, x, y, wide, high, self.picture))
