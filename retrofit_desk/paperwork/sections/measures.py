"""Each measure: what was meant, what was fitted with serials, settings, tests, and what is open."""

from __future__ import annotations

from reportlab.platypus import CondPageBreak, Flowable

from retrofit_desk.paperwork.contents import MeasurePart, TestLine
from retrofit_desk.paperwork.layout import CELL, NOTE, SUBSECTION, Landmark, NeedsOwner, Numbers, text
from retrofit_desk.paperwork.show import NONE, day, stated
from retrofit_desk.paperwork.tables import facts, table
from retrofit_desk.values.cents import cents_text


def measures(parts: tuple[MeasurePart, ...], numbers: Numbers) -> list[Flowable]:
    """One block per measure, each with its own bookmark."""
    story: list[Flowable] = []
    for i, part in enumerate(parts):
        # the first one stays with the heading of the part
        story += [CondPageBreak(110)] if i else []
        story.append(Landmark(numbers, f"measure-{i}", part.title, level=1))
        story += _measure(part)
    return story


def _measure(part: MeasurePart) -> list[Flowable]:
    rows = [
        ("State", part.state),
        ("Where", part.where or NONE),
        ("Scope", part.scope or NONE),
        ("Done by", _by(part)),
        ("Installed", day(part.installed_on)),
    ]
    rows += [("Cost", stated(part.cost_cents, cents_text))] if part.cost_cents else []
    rows += [("Changed from plan", part.change_from_plan)] if part.change_from_plan else []
    rows += [("Photos", "; ".join(part.photos))] if part.photos else []
    story: list[Flowable] = [text(part.title, SUBSECTION), facts(rows, share=0.18)]
    if part.items:
        items = [
            (item.product, item.make or NONE, item.model or NONE, stated(item.serial), item.quantity or NONE)
            for item in part.items
        ]
        story.append(table(("Installed", "Make", "Model", "Serial", "How much"), items, (30, 18, 19, 20, 13)))
    if part.tests:
        heads = ("Test", "Found", "Limits", "Result", "On", "By")
        story.append(table(heads, [_test(line) for line in part.tests], (25, 19, 19, 10, 11, 16)))
    if part.settings:
        settings = "; ".join(f"{line.name} {line.value}" for line in part.settings)
        story.append(text(f"Settings as left: {settings}.", CELL))
    story += [NeedsOwner(f"Still open: {line}", CELL) for line in part.still_open]
    sources = sorted({line.source for line in part.tests if line.source})
    return [*story, *([text(f"Limits: {'; '.join(sources)}.", NOTE)] if sources else [])]


def _by(part: MeasurePart) -> str:
    licensed = f"license {stated(part.license)}" if part.license is not None else ""
    return "; ".join(words for words in (part.done_by, licensed) if words) or "nobody yet"


def _test(line: TestLine) -> tuple[str, ...]:
    result = {True: "passed", False: "not passed", None: "incomplete"}[line.passed]
    return line.name, line.value, line.limits or NONE, result, day(line.tested_on), line.by or NONE
