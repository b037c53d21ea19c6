"""What a programme itself asks for with a claim, by its dated rule, beside what such offices usually ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import PacketKind, ReadinessLine
from retrofit_desk.paperwork.needs import Need, Per
from retrofit_desk.records import models as m
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.rules.programme_file import Document, Version
from retrofit_desk.rules.programmes import evaluate
from retrofit_desk.services.packet_aims import Aim
from retrofit_desk.services.programme_facts import facts_of_choice
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import Place


@dataclass(frozen=True)
class ProgrammePapers:
    """`needs`: answered by filed papers; `statements`: what is written on the claim itself."""

    needs: tuple[Need, ...] = ()
    statements: tuple[ReadinessLine, ...] = ()
    measure_kinds: frozenset[str] = frozenset()

    def added_to(self, usual: Sequence[Need]) -> tuple[Need, ...]:
        """The programme's own word takes the place of the usual one for the same kind of paper."""
        own = list(self.needs)
        found: list[Need] = []
        for need in usual:
            concerns = not need.measure_kinds or bool(self.measure_kinds.intersection(need.measure_kinds))
            same = next((one for one in own if set(one.paper_kinds) & set(need.paper_kinds)), None)
            if same is None or not concerns or need.per is Per.PROJECT:
                found.append(need)
                continue
            own.remove(same)
            match = tuple(dict.fromkeys((*need.match, *same.match)))
            limits = [days for days in (need.max_age_days, same.max_age_days) if days is not None]
            found.append(
                replace(
                    need,
                    label=same.label,
                    match=match,
                    max_age_days=min(limits, default=None),
                    before=same.before,
                    measure_kinds=(),
                    source=same.source,
                    confidence=same.confidence,
                )
            )
        return (*found, *own)


def programme_papers(session: Session, tables: Tables, aim: Aim, today: date) -> ProgrammePapers:
    """By the version of the rule that counts for the work; nothing where no rule file is on hand."""
    choice = session.get(m.ProgrammeChoice, aim.id) if aim.kind is PacketKind.REBATE and aim.id else None
    if choice is None:
        return ProgrammePapers()
    try:
        programme = tables.programme(choice.programme_key)
    except NotInTable:
        return ProgrammePapers()
    facts = facts_of_choice(session, programme, choice)
    version = evaluate(programme, facts, today).version
    if version is None:
        return ProgrammePapers()
    kinds = frozenset(one.kind for one in choice.measures)
    asked = [one for one in version.documents if not one.kinds or kinds.intersection(one.kinds)]
    return ProgrammePapers(
        tuple(_need(one, version, programme.name, facts.dates.work_started) for one in asked if one.papers),
        tuple(_statement(one, programme.name, aim) for one in asked if not one.papers),
        kinds,
    )


def _need(document: Document, version: Version, programme: str, work_started: date | None) -> Need:
    source = version.source
    return Need(
        packet=PacketKind.REBATE,
        key=f"programme {document.key}",
        label=f"{document.label} (asked for by {programme})",
        per=Per.MEASURE,
        paper_kinds=document.papers,
        do=f"{programme} asks for it, by its rule as last checked {day_text(version.checked_on)}.",
        source=", ".join(part for part in (source.title, source.section, source.edition) if part),
        confidence=source.confidence,
        match=document.must_match,
        max_age_days=document.max_age_days,
        before=None if document.after_install else work_started,
    )


def _statement(document: Document, programme: str, aim: Aim) -> ReadinessLine:
    return ReadinessLine(
        f"{document.label} (asked for by {programme})",
        Readiness.MISSING,
        "a statement on the claim itself; no filed paper answers it",
        "Write it on the claim before it is sent.",
        aim.place,
    )


def itemized_line(session: Session, measure: m.Measure, place: Place) -> ReadinessLine | None:
    """Whether the bills tell equipment and labor apart; none while there is no bill."""
    bills = session.scalars(select(m.Invoice).where(m.Invoice.measure_id == measure.id)).all()
    if not bills:
        return None
    need = f"Equipment and labor apart on the bills, {measure.title}"
    lump = [
        f"{bill.number or 'without a number'}, {bill.firm.name}"
        for bill in bills
        if bill.equipment_cents is None or bill.labor_cents is None
    ]
    if not lump:
        return ReadinessLine(need, Readiness.HAVE, "on every bill", "", place)
    told = "; ".join(lump[:3]) + (f"; and {len(lump) - 3} more" if lump[3:] else "")
    do = "Ask the firm to tell them apart, or note both where the bill is entered."
    return ReadinessLine(need, Readiness.MISSING, f"one sum on bill {told}", do, place)
