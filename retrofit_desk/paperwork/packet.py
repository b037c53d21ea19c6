"""Makes a packet: one PDF for one reader, with the filed papers behind."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from retrofit_desk.paperwork.contents import Cover, PacketContents, ReadinessLine
from retrofit_desk.paperwork.kinds import PacketProfile, Part, profile_of
from retrofit_desk.paperwork.papers import DAMAGED, OpenedPaper, open_papers, trouble_lines, with_trouble
from retrofit_desk.paperwork.redaction import redacted
from retrofit_desk.values.errors import DeskError

if TYPE_CHECKING:
    from retrofit_desk.paperwork.layout import ContentsRow, Numbers
    from retrofit_desk.paperwork.merging import Slot

Progress = Callable[[float, str], None]
"""Told the share done (0 to 1) and what is being done; it may raise to stop, nothing is then written."""


class PacketNotWritten(DeskError):
    """The PDF could not be put where it was asked for."""

    @classmethod
    def of(cls, path: Path, error: OSError) -> PacketNotWritten:
        return cls(
            f"the packet could not be written ({error.strerror or error})",
            where=str(path),
            kept="the record was kept, and an earlier file of that name too",
            do="choose a folder that can be written to and has room",
        )

    exit_code = 3


@dataclass(frozen=True)
class PacketMade:
    """The finished file. `readiness` is what stands in it, papers that cannot be shown included."""

    path: Path
    pages: int
    sha256: str
    readiness: tuple[ReadinessLine, ...]


def make_packet(contents: PacketContents, out_path: Path, progress: Progress | None = None) -> PacketMade:
    """Write the packet to `out_path`, whole or not at all. The same contents give the same bytes.

    Raises `PacketNotWritten`.
    """
    tell = progress or (lambda _share, _what: None)
    profile = profile_of(contents.cover.kind)
    tell(0.05, "opening the papers")
    shown = redacted(contents, profile)
    content, pages, readiness = _put_together(shown, profile, open_papers(shown.papers), tell)
    tell(0.95, "writing the file")
    _write_whole(out_path, content)
    return PacketMade(out_path, pages, hashlib.sha256(content).hexdigest(), readiness)


def _put_together(
    contents: PacketContents, profile: PacketProfile, opened: tuple[OpenedPaper, ...], tell: Progress
) -> tuple[bytes, int, tuple[ReadinessLine, ...]]:
    """Sheets with papers set in; begun anew without a paper that turns out damaged while it is set in."""
    from retrofit_desk.paperwork.merging import PageNotCarried

    while True:
        shown = replace(contents, readiness=contents.readiness + trouble_lines(opened))
        tell(0.3, "setting the pages")
        sheets, slots = _own_pages(shown, profile, opened)
        tell(0.6, "setting in the papers")
        try:
            return *_merged(sheets, slots, shown.cover, profile), shown.readiness
        except PageNotCarried as failure:
            opened = with_trouble(opened, failure.paper, DAMAGED)


def text_of(path: Path) -> str:
    """All text of a PDF, page after page."""
    from pypdf import PdfReader

    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def _own_pages(
    shown: PacketContents, profile: PacketProfile, opened: tuple[OpenedPaper, ...]
) -> tuple[bytes, list[Slot]]:
    from reportlab.platypus import CondPageBreak, PageBreak

    from retrofit_desk.paperwork.layout import HEIGHT, Closing, Landmark, Numbers, SectionHead, Sheet
    from retrofit_desk.paperwork.sections.cover import cover, cover_title
    from retrofit_desk.paperwork.sections.papers import papers
    from retrofit_desk.paperwork.show import day

    numbers, held, front = Numbers(), BytesIO(), shown.cover
    slots: list[Slot] = []
    reader = front.reader.organization or front.reader.name
    is_role = reader.startswith("The ")
    sheet = Sheet(
        held,
        numbers,
        heading=profile.title,
        right=f"{front.project} · {front.address}",
        foot=f"Made on {day(front.made_on)} for {reader[:1].lower() + reader[1:] if is_role else reader}",
        title=cover_title(front, profile),
    )
    bodies = [(part, body) for part in profile.parts if (body := _part(part, shown, numbers))]
    contents = _contents_rows(shown, bodies, opened, numbers)
    story: list[Any] = [Landmark(numbers, "cover", "Cover"), *cover(shown, profile)]
    # the list of contents is not torn apart where it fits on a sheet of its own
    story += [CondPageBreak(min(sum(row.tall for row in contents) + 46, HEIGHT)), SectionHead("Contents")]
    story += [*contents, PageBreak()]
    for part, body in bodies:
        # a heading takes its first rows along, also where these are a table that may be torn
        story += [
            CondPageBreak(130),
            Landmark(numbers, part.name, part.value),
            SectionHead(part.value),
            *body,
        ]
    if opened:
        story += [PageBreak(), Landmark(numbers, Part.PAPERS.name, Part.PAPERS.value)]
        story += papers(opened, numbers, slots)
    sheet.build([*story, Closing(numbers)])
    return held.getvalue(), slots


def _contents_rows(
    shown: PacketContents,
    bodies: list[tuple[Part, list[Any]]],
    opened: tuple[OpenedPaper, ...],
    numbers: Numbers,
) -> list[ContentsRow]:
    from retrofit_desk.paperwork.layout import ContentsRow

    rows = []
    for part, _ in bodies:
        rows.append(ContentsRow(numbers, part.name, part.value))
        if part is Part.MEASURES:
            rows += [
                ContentsRow(numbers, f"measure-{i}", one.title, level=1)
                for i, one in enumerate(shown.measures)
            ]
    if opened:
        rows.append(ContentsRow(numbers, Part.PAPERS.name, Part.PAPERS.value))
        rows += [ContentsRow(numbers, paper.key, paper.title, level=1) for paper in opened]
    return rows


def _part(part: Part, shown: PacketContents, numbers: Numbers) -> list[Any]:
    """The flowables of one part, none when there is nothing to show."""
    from retrofit_desk.paperwork.sections.cautions import cautions
    from retrofit_desk.paperwork.sections.house import house
    from retrofit_desk.paperwork.sections.measures import measures
    from retrofit_desk.paperwork.sections.money import money
    from retrofit_desk.paperwork.sections.permits import overrides, permits
    from retrofit_desk.paperwork.sections.readiness import readiness
    from retrofit_desk.paperwork.sections.request import request, visit
    from retrofit_desk.paperwork.sections.savings import savings

    units = shown.units
    makers: dict[Part, Callable[[], list[Any]]] = {
        Part.READINESS: lambda: readiness(shown.readiness, shown.left_out),
        Part.REQUEST: lambda: request(shown.request, units) if shown.request else [],
        Part.VISIT: lambda: visit(shown.visit) if shown.visit else [],
        Part.HOUSE: lambda: house(shown.house, units) if shown.house else [],
        Part.MEASURES: lambda: measures(shown.measures, numbers),
        Part.SAVINGS: lambda: savings(shown.savings, units) if shown.savings else [],
        Part.MONEY: lambda: money(shown.money) if shown.money else [],
        Part.OVERRIDES: lambda: overrides(shown.overrides),
        Part.PERMITS: lambda: permits(shown.permits),
        Part.CAUTIONS: lambda: cautions(shown.cautions, shown.sources),
        Part.PAPERS: lambda: [],
    }
    return makers[part]()


def _merged(sheets: bytes, slots: list[Slot], front: Cover, profile: PacketProfile) -> tuple[bytes, int]:
    from pypdf import PdfReader, PdfWriter

    from retrofit_desk.paperwork.merging import fill_slots
    from retrofit_desk.paperwork.sections.cover import cover_title

    writer = PdfWriter(clone_from=PdfReader(BytesIO(sheets)))
    fill_slots(writer, slots)
    writer.metadata = {
        "/Title": cover_title(front, profile),
        "/Author": front.owner.name,
        "/Subject": front.purpose,
        "/Creator": "Retrofit Desk",
        "/CreationDate": _pdf_date(front.made_on),
        "/ModDate": _pdf_date(front.made_on),
    }
    held = BytesIO()
    writer.write(held)
    return held.getvalue(), len(writer.pages)


def _pdf_date(made_on: date) -> str:
    return f"D:{made_on:%Y%m%d}000000Z"


def _write_whole(path: Path, content: bytes) -> None:
    half = path.with_name(path.name + ".part")
    try:
        half.write_bytes(content)
        os.replace(half, path)
    except OSError as error:
        half.unlink(missing_ok=True)
        raise PacketNotWritten.of(path, error) from error
