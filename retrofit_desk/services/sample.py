"""Makes the sample house: an invented house in Greensboro with its measures, money, permits and papers."""

from __future__ import annotations

import csv
from datetime import UTC, date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import FactKind, PaperSubject
from retrofit_desk.records.project import Project, Work
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.services.sample_house.letterhead import Drawn, Letterhead
from retrofit_desk.services.sample_house.photos import Photo, photo_jpeg
from retrofit_desk.services.sample_house.printing import Sheet, sheet_pdf
from retrofit_desk.services.sample_house.sheets import paper_of
from retrofit_desk.services.sample_house.story import Story, story_files

BILLS = {"gas-meter": "gas_bills.csv", "electric-meter": "electric_bills.csv"}


def make_sample(folder: Path) -> Project:
    """Make the sample house in a new project folder and leave it open.

    Raises as `Project.create`; a failure leaves nothing behind.
    """
    story = Story().read(story_files())
    _read_bills(story)
    papers = _papers(story)
    project = Project.create(folder)
    with project.action("Set up the sample house") as work:
        # rows refer to each other in both directions; SQLite looks at the end of the transaction
        work.session.connection().exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        for row, content, name in papers:
            _file(work, row, content, name)
        work.session.add_all([told.row for told in story.told])
    return project


def sample_folder() -> Path:
    """Where the sample house is kept when no folder is named: in the user's documents."""
    from platformdirs import user_documents_path

    return user_documents_path() / "Retrofit Desk" / "Sample house.retrofit"


def _read_bills(story: Story) -> None:
    for meter, name in BILLS.items():
        meter_id = story.id_of("meter", meter)
        path = shipped_folder("assets") / "sample_house" / name
        with path.open(newline="", encoding="utf-8") as file:
            for line in csv.DictReader(file):
                story.add(
                    m.Bill(
                        meter_id=meter_id,
                        period_start=date.fromisoformat(line["period_start"]),
                        period_end=date.fromisoformat(line["period_end"]),
                        quantity=float(line["quantity"]),
                        cost_cents=int(Decimal(line["cost"]) * 100),
                        kind=m.BillKind(line["kind"]),
                        days_away=int(line["days_away"]),
                    )
                )


def _papers(story: Story) -> list[tuple[m.Paper, bytes, str]]:
    """Every paper of the story, drawn: those told in the files, then those that prove another row."""
    made = [_told_paper(story, told.row, told.beside) for told in story.told if isinstance(told.row, m.Paper)]
    letterhead = Letterhead(story)
    for told in list(story.told):
        if told.beside.get("paper", True):
            drawn = paper_of(letterhead, told.row, told.beside.get("print", {}))
            if drawn is not None:
                made.append(_proof(story, told.row, drawn))
    return made


def _told_paper(story: Story, row: m.Paper, beside: dict[str, Any]) -> tuple[m.Paper, bytes, str]:
    assert row.on_paper is not None
    if photo := beside.get("photo"):
        place = None if row.latitude_deg is None else (row.latitude_deg, row.longitude_deg or 0.0)
        drawn = Photo(photo["scene"], row.on_paper, tuple(photo["lines"]), bool(row.tape_in_view), place)
        content = photo_jpeg(drawn)
    else:
        content = sheet_pdf(_told_sheet(beside["sheet"], row.on_paper))
    for kind, label, value in beside.get("facts", ()):
        story.add(m.PaperFact(paper_id=row.id, kind=FactKind(kind), label=label, value=value))
    for use in beside.get("used_for", ()):
        subject, _, ref = use.partition(":")
        subject_id = story.id_of(subject, ref)
        story.add(m.PaperUse(paper_id=row.id, subject=PaperSubject(subject), subject_id=subject_id))
    return row, content, row.original_name


def _told_sheet(told: dict[str, Any], dated: date) -> Sheet:
    def pairs(name: str) -> tuple[tuple[str, ...], ...]:
        return tuple(tuple(row) for row in told.get(name, ()))

    return Sheet(
        issuer=tuple(told["issuer"]),
        title=told["title"],
        dated=dated,
        number=told.get("number", ""),
        fields=tuple((name, value) for name, value in told.get("fields", ())),
        table=pairs("table"),
        text=tuple(told.get("text", ())),
        signed=tuple(told.get("signed", ())),
    )


def _proof(story: Story, row: m.Base, drawn: Drawn) -> tuple[m.Paper, bytes, str]:
    name = f"{drawn.name}.pdf"
    paper = m.Paper(
        kind=drawn.kind,
        title=drawn.title,
        original_name=name,
        on_paper=drawn.sheet.dated,
        ends_on=drawn.ends_on,
        from_firm_id=drawn.firm_id,
    )
    story.add(paper)
    if "paper_id" in row.__table__.columns:
        row.paper_id = paper.id  # type: ignore[attr-defined]
    for kind, label, value in drawn.facts:
        story.add(m.PaperFact(paper_id=paper.id, kind=kind, label=label, value=value))
    for subject, subject_id in drawn.uses:
        story.add(m.PaperUse(paper_id=paper.id, subject=subject, subject_id=subject_id))
    return paper, sheet_pdf(drawn.sheet), name


def _file(work: Work, row: m.Paper, content: bytes, name: str) -> None:
    filed = work.file_bytes(content, name)
    row.sha256, row.size_bytes, row.media_type = filed.sha256, filed.size_bytes, filed.media_type
    row.pages = 1
    if row.on_paper is not None:
        row.filed_at = datetime.combine(row.on_paper, time(22, 0), UTC)
