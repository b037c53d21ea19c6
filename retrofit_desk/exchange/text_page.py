"""Headed lines of text on printed pages (PDF); the caller sees to it that one page is enough."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape


def write_text_page(title: str, parts: Sequence[tuple[str, Sequence[str]]], path: Path) -> Path:
    """Letter paper; the same words give the same bytes."""
    from reportlab.lib.pagesizes import letter
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.lib.units import inch
    from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate, Spacer

    head = ParagraphStyle("title", fontName="Helvetica-Bold", fontSize=15, leading=20, spaceAfter=6)
    section = ParagraphStyle("section", fontName="Helvetica-Bold", fontSize=10, leading=13, spaceBefore=8)
    line = ParagraphStyle("line", fontName="Helvetica", fontSize=9, leading=11.5, leftIndent=8)
    story: list[Flowable] = [Paragraph(escape(title), head)]
    for heading, lines in parts:
        rows = [Paragraph(escape(text), line) for text in lines]
        story += [KeepTogether([Paragraph(escape(heading), section), *rows[:2]]), *rows[2:], Spacer(1, 2)]
    document = SimpleDocTemplate(
        str(path),
        pagesize=letter,
        leftMargin=0.8 * inch,
        rightMargin=0.8 * inch,
        topMargin=0.7 * inch,
        bottomMargin=0.7 * inch,
        title=title,
        invariant=1,
    )
    document.build(story)
    return path
