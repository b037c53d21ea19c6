"""Makes the sample houses: invented houses with their measures, money, permits and papers."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from retrofit_desk.records import models as m
from retrofit_desk.records.clock import machine_clock
from retrofit_desk.records.models.papers import PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.sample_house.chapters import Chapter, chapters
from retrofit_desk.services.sample_house.letterhead import Drawn, Fact, Letterhead, Use
from retrofit_desk.services.sample_house.photos import Photo, photo_jpeg
from retrofit_desk.services.sample_house.printing import Sheet, sheet_pdf
from retrofit_desk.services.sample_house.sheets import paper_of
from retrofit_desk.services.sample_house.story import Story, Told, story_files

SUM = "savings_sum.json"
EVENING = time(23, 0)
"""When the papers of a day are done, at the house."""


class _Telling:
    """A project's clock while a story is told: the evening of the day that is told, then this machine's."""

    def __init__(self, zone: ZoneInfo) -> None:
        self._zone = zone
        self._at: datetime | None = None

    def __call__(self) -> datetime:
        return self._at or machine_clock()

    def turn_to(self, day: date) -> None:
        """The evening of that day, and a minute on from the step before where that was the same evening."""
        evening = datetime.combine(day, EVENING, self._zone)
        self._at = evening if self._at is None else max(evening, self._at + timedelta(minutes=1))

    def end(self) -> None:
        """The story has caught up with its reader."""
        self._at = None


@dataclass(frozen=True)
class SampleHouse:
    """One invented house: the folder of its story in `assets/`, and the bills of its meters there."""

    name: str
    title: str
    assets: str
    bills: tuple[tuple[str, str], ...]

    @property
    def folder(self) -> Path:
        return shipped_folder("assets") / self.assets


GREENSBORO = SampleHouse(
    "gas",
    "Sample house",
    "sample_house",
    (("gas-meter", "gas_bills.csv"), ("electric-meter", "electric_bills.csv")),
)
SAND_POINT = SampleHouse(
    "oil",
    "Oil house",
    "oil_house",
    (("oil-tank", "oil_fills.csv"), ("electric-meter", "electric_bills.csv")),
)
SAMPLES = {one.name: one for one in (GREENSBORO, SAND_POINT)}


def make_sample(folder: Path, house: SampleHouse = GREENSBORO) -> Project:
    """Make a sample house in a new project folder and leave it open. Undo takes back only its last steps.

    Raises as `Project.create`; a failure leaves nothing behind.
    """
    story = Story().read(story_files(house.folder))
    _read_bills(story, house)
    papers = _papers(story, house)
    told = chapters(story)
    clock = _Telling(ZoneInfo(story.rows(m.Site)[0].time_zone))
    project = Project.create(folder, clock=clock)
    try:
        for chapter in told:
            clock.turn_to(chapter.on)
            kind = m.ActionKind.DONE if chapter.is_step else m.ActionKind.GIVEN
            with project.action(chapter.title, kind=kind) as work:
                _record(work, chapter, papers)
        clock.end()
        _keep_sum(project, house)
    except BaseException:
        project.close()
        shutil.rmtree(project.path, ignore_errors=True)
        raise
    return project


def _keep_sum(project: Project, house: SampleHouse) -> None:
    """The sum as it was worked out for the story: its worth shows at once. Not one that is out of date."""
    from retrofit_desk.services.worth import WorthService  # loads the estimator

    kept = house.folder / SUM
    if kept.is_file():
        WorthService(project).take(kept.read_bytes())


def _record(work: Work, chapter: Chapter, papers: dict[int, tuple[bytes, str]]) -> None:
    # rows refer to each other in both directions; SQLite looks at the end of the transaction
    work.session.connection().exec_driver_sql("PRAGMA defer_foreign_keys = ON")
    for told in chapter.told:
        if isinstance(told.row, m.Paper) and told.is_new:
            _file(work, told.row, *papers[told.row.id])
        for column, value in told.columns.items():
            setattr(told.row, column, value)
    work.session.add_all(told.row for told in chapter.told)


def sample_folder(house: SampleHouse = GREENSBORO) -> Path:
    """Where a sample house is kept when no folder is named: in the user's documents."""
    from platformdirs import user_documents_path

    return user_documents_path() / "Retrofit Desk" / f"{house.title}.retrofit"


def _read_bills(story: Story, house: SampleHouse) -> None:
    for meter, name in house.bills:
        meter_id = story.id_of("meter", meter)
        path = house.folder / name
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


def _papers(story: Story, house: SampleHouse) -> dict[int, tuple[bytes, str]]:
    """Content and name of every paper: those told in the files, then those that prove another row."""
    told_papers = [told for told in story.told if isinstance(told.row, m.Paper)]
    made = {told.row.id: _told_paper(story, told, house.folder) for told in told_papers}
    letterhead = Letterhead(story)
    for told in list(story.told):
        if told.beside.get("paper", True):
            drawn = paper_of(letterhead, told.row, told.beside.get("print", {}))
            if drawn is not None:
                row = _proof(story, told, drawn)
                made[row.id] = sheet_pdf(drawn.sheet), row.original_name
    return made


def _told_paper(story: Story, told: Told, assets: Path) -> tuple[bytes, str]:
    row, beside = told.row, told.beside
    assert isinstance(row, m.Paper)
    assert row.on_paper is not None
    if photo := beside.get("photo"):
        place = None if row.latitude_deg is None else (row.latitude_deg, row.longitude_deg or 0.0)
        drawn = Photo(photo["scene"], row.on_paper, tuple(photo["lines"]), bool(row.tape_in_view), place)
        content = photo_jpeg(drawn)
    elif name := beside.get("file"):
        content = (assets / name).read_bytes()
    else:
        content = sheet_pdf(_told_sheet(beside["sheet"], row.on_paper))
    facts = [(FactKind(kind), label, value) for kind, label, value in beside.get("facts", ())]
    named = [use.partition(":") for use in beside.get("used_for", ())]
    uses = [(PaperSubject(subject), story.id_of(subject, ref)) for subject, _, ref in named]
    _read_off(story, row, facts, uses, told.action)
    return content, row.original_name


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


def _proof(story: Story, told: Told, drawn: Drawn) -> m.Paper:
    paper = m.Paper(
        kind=drawn.kind,
        title=drawn.title,
        original_name=f"{drawn.name}.pdf",
        on_paper=drawn.sheet.dated,
        ends_on=drawn.ends_on,
        from_firm_id=drawn.firm_id,
    )
    story.add(paper, told.action)
    if "paper_id" in told.row.__table__.columns:
        told.row.paper_id = paper.id  # type: ignore[attr-defined]
    _read_off(story, paper, drawn.facts, drawn.uses, told.action)
    return paper


def _read_off(story: Story, paper: m.Paper, facts: Iterable[Fact], uses: Iterable[Use], action: str) -> None:
    for kind, label, value in facts:
        story.add(m.PaperFact(paper_id=paper.id, kind=kind, label=label, value=value), action)
    for subject, subject_id in uses:
        story.add(m.PaperUse(paper_id=paper.id, subject=subject, subject_id=subject_id), action)


def _file(work: Work, row: m.Paper, content: bytes, name: str) -> None:
    filed = work.file_bytes(content, name)
    row.sha256, row.size_bytes, row.media_type = filed.sha256, filed.size_bytes, filed.media_type
    row.pages = 1
    if row.on_paper is not None:
        row.filed_at = datetime.combine(row.on_paper, time(22, 0), UTC)
