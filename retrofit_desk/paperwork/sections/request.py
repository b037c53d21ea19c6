"""The request sheet a contractor answers, and the sheet for an inspector's visit."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import RequestPart, VisitPart
from retrofit_desk.paperwork.layout import BODY, SUBSECTION, CheckLine, NeedsOwner, text
from retrofit_desk.paperwork.sections.readiness import readiness_table
from retrofit_desk.paperwork.show import day, quantity
from retrofit_desk.paperwork.tables import facts, table
from retrofit_desk.values.quantity import Dimension, Units


def request(part: RequestPart, units: Units) -> list[Flowable]:
    """The same scope lines for every firm, with room for included, excluded, allowance."""
    story: list[Flowable] = [
        facts(
            [
                ("Work", part.measure),
                ("Please answer by", day(part.answer_by)),
                *([("Heating load", _load(part, units))] if part.load_heating_w.is_known else []),
            ]
        ),
        text(
            "Every firm gets this same list. Please say for each line: included, excluded, or an allowance.",
            BODY,
        ),
    ]
    rows = [
        (str(number), line.text, line.note or "", "", "") for number, line in enumerate(part.scope, start=1)
    ]
    story.append(
        table(("", "Scope", "Note", "Incl. / excl. / allowance", "Price"), rows, (4, 42, 26, 16, 12))
    )
    if part.to_state:
        story.append(text("Please state in the quote", SUBSECTION))
        story += [text(f"– {line}", BODY) for line in part.to_state]
    return story


def _load(part: RequestPart, units: Units) -> str:
    load = quantity(part.load_heating_w, Dimension.POWER, units)
    at = quantity(part.load_at_c, Dimension.TEMPERATURE, units)
    return f"{load} at {at} outside, {part.load_based_on}"


def visit(part: VisitPart) -> list[Flowable]:
    """What is inspected, when, what must lie ready, and what an earlier visit left open."""
    story: list[Flowable] = [
        facts(
            [
                ("Inspection", part.inspection),
                ("Permit", part.permit),
                ("Booked for", f"{day(part.on)} {part.window}"),
            ]
        )
    ]
    if part.ready:
        story.append(readiness_table(part.ready))
    if part.checklist:
        story.append(text("Before the visit", SUBSECTION))
        story += [CheckLine(line) for line in part.checklist]
    if part.earlier_corrections:
        story.append(text("From the earlier list", SUBSECTION))
        story += [NeedsOwner(line) for line in part.earlier_corrections]
    return story
