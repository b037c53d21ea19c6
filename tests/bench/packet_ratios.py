"""A packet against a bare merge of the same papers into one file."""

from __future__ import annotations

import tempfile
from io import BytesIO
from pathlib import Path

from tests.bench.ratio import Ratio, best_seconds

GOAL = 2.0
REPEATS = 5


def rows() -> list[Ratio]:
    """All papers, and the printed ones alone: there the bare merge has no photo to work on."""
    with tempfile.TemporaryDirectory() as name:
        papers = tuple(_papers(Path(name)))
        printed = tuple(paper for paper in papers if paper.path.suffix == ".pdf")
        return [
            _row("packet_against_bare_merge", papers, Path(name)),
            _row("packet_of_printed_papers_against_bare_merge", printed, Path(name)),
        ]


def _row(name: str, papers, folder: Path) -> Ratio:
    from dataclasses import replace

    from retrofit_desk.paperwork.packet import make_packet
    from tests.paperwork.house_story import packet

    contents = replace(packet(folder), papers=papers)
    paths = [paper.path for paper in papers]
    ours = best_seconds(lambda: make_packet(contents, folder / "packet.pdf"), REPEATS)
    bare = best_seconds(lambda: _bare_merge(paths, folder / "bare.pdf"), REPEATS)
    return Ratio.at_most(name, ours / bare, GOAL)


def _papers(folder: Path):
    """What a claim of two years of works has behind it: 40 sheets of text of 1 to 4 pages and 24 photos."""
    from tests.paperwork.house_story import paper, photo

    for number in range(40):
        content = _printed_sheet(number, pages=1 + number % 4)
        yield paper(folder, f"{number}.pdf", content, f"Invoice {number}", "invoice")
    for number in range(24):
        content = photo(f"plate {number}", size=(1600, 1200))
        yield paper(folder, f"{number}.jpg", content, f"Photo {number}", "photo")


def _printed_sheet(number: int, pages: int) -> bytes:
    """Lines of text in two fonts, as a firm's invoice has them."""
    from reportlab.pdfgen.canvas import Canvas

    held = BytesIO()
    canvas = Canvas(held, invariant=1)
    for page in range(pages):
        for line in range(45):
            canvas.setFont("Helvetica-Bold" if line % 9 == 0 else "Helvetica", 10)
            canvas.drawString(
                60, 740 - line * 14, f"{number}-{page}-{line} labor, material and equipment, 128.40"
            )
        canvas.showPage()
    canvas.save()
    return held.getvalue()


def _bare_merge(paths: list[Path], target: Path) -> None:
    """Every PDF appended, every photo made a page, one file written; no sheet of our own."""
    from PIL import Image
    from pypdf import PdfWriter

    writer = PdfWriter()
    for path in paths:
        if path.suffix == ".pdf":
            writer.append(path)
        else:
            held = BytesIO()
            with Image.open(path) as image:
                image.save(held, "PDF")
            writer.append(held)
    writer.write(target)
