"""Draws the sample house's printed papers: quotes, contracts, invoices, permit cards, reports, waivers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from io import BytesIO

NOTICE = "Sample paper: every person, firm, product and number on it is invented."


@dataclass(frozen=True)
class Sheet:
    """What stands on one printed paper; `table` rows hold text cells, the first row is the heading."""

    issuer: tuple[str, ...]
    title: str
    dated: date
    number: str = ""
    fields: tuple[tuple[str, str], ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    text: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()


def sheet_pdf(sheet: Sheet) -> bytes:
    """The paper as a one- or two-page US letter PDF; the same sheet gives the same bytes."""
    from reportlab.lib.pagesizes import letter
    from reportlab.lib.units import inch
    from reportlab.platypus import SimpleDocTemplate

    held = BytesIO()
    document = SimpleDocTemplate(
        held,
        pagesize=letter,
        leftMargin=0.9 * inch,
        rightMargin=0.9 * inch,
        topMargin=0.8 * inch,
        bottomMargin=0.8 * inch,
        title=sheet.title,
        author=sheet.issuer[0],
        invariant=1,
    )
    document.build(_story(sheet), onFirstPage=_foot, onLaterPages=_foot)
    return held.getvalue()


def _story(sheet: Sheet) -> list[object]:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import HRFlowable, Paragraph, Spacer

    body = ParagraphStyle("body", fontName="Helvetica", fontSize=9.5, leading=13)
    small = ParagraphStyle("small", parent=body, fontSize=8.5, leading=11)
    head = ParagraphStyle("head", parent=body, fontName="Helvetica-Bold", fontSize=12, leading=15)
    title = ParagraphStyle("title", parent=body, fontName="Helvetica-Bold", fontSize=15, leading=19)
    story: list[object] = [Paragraph(sheet.issuer[0], head)]
    story += [Paragraph(line, small) for line in sheet.issuer[1:]]
    story += [Spacer(1, 6), HRFlowable(width="100%", thickness=0.8, color="black"), Spacer(1, 10)]
    story.append(Paragraph(sheet.title, title))
    marks = [f"No. {sheet.number}"] if sheet.number else []
    story += [
        Paragraph(" · ".join([*marks, f"{sheet.dated:%B} {sheet.dated.day}, {sheet.dated.year}"]), body)
    ]
    story.append(Spacer(1, 10))
    if sheet.fields:
        story += [_grid([(f"{name}:", value) for name, value in sheet.fields], small, heading=False)]
        story.append(Spacer(1, 10))
    if sheet.table:
        story += [_grid(sheet.table, small, heading=True), Spacer(1, 10)]
    for line in sheet.text:
        story += [Paragraph(line, body), Spacer(1, 5)]
    for name in sheet.signed:
        story += [Spacer(1, 16), HRFlowable(width="45%", thickness=0.5, color="black", hAlign="LEFT")]
        story.append(Paragraph(f"Signed: {name}", small))
    return story


def _grid(
    rows: list[tuple[str, str]] | tuple[tuple[str, ...], ...], style: object, *, heading: bool
) -> object:
    """A ruled table; the first column is wide in a table of lines, narrow in a list of facts."""
    from reportlab.platypus import Paragraph, Table, TableStyle

    columns = max(len(row) for row in rows)
    width = 482.0
    first = width * (0.46 if heading else 0.3)
    widths = [first] + [(width - first) / (columns - 1)] * (columns - 1) if columns > 1 else [width]
    cells = [[Paragraph(cell, style) for cell in row] for row in rows]
    table = Table(cells, colWidths=widths, repeatRows=1 if heading else 0)
    rules: list[tuple[object, ...]] = [("VALIGN", (0, 0), (-1, -1), "TOP")]
    if heading:
        rules += [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, "black"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, "gray"),
        ]
    table.setStyle(TableStyle(rules))
    return table


def _foot(canvas: object, document: object) -> None:
    canvas.setFont("Helvetica-Oblique", 7.5)  # type: ignore[attr-defined]
    canvas.drawString(65, 34, NOTICE)  # type: ignore[attr-defined]
