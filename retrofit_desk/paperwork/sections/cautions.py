"""The usual cautions for work that can hurt someone, and where the numbers come from."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from retrofit_desk.paperwork.contents import CautionLine, SourceLine
from retrofit_desk.paperwork.layout import BODY, text
from retrofit_desk.paperwork.show import day
from retrofit_desk.paperwork.tables import facts, long_block, table

ALWAYS = (
    "This packet reports what the owner recorded. It certifies nothing and replaces no permit, inspection, "
    "license or engineer. Local code and the people licensed under it decide."
)


def cautions(lines: tuple[CautionLine, ...], sources: tuple[SourceLine, ...]) -> list[Flowable]:
    """Cautions by subject, then sources with their dates."""
    story: list[Flowable] = [text(ALWAYS, BODY), Spacer(1, 6)]
    if lines:
        story.append(facts([(line.subject, line.text) for line in lines], share=0.18))
    if sources:
        rows = [(line.what, line.source, day(line.as_of)) for line in sources]
        story += long_block("Sources", table(("For", "Source", "As of"), rows, (30, 54, 16)))
    return story
