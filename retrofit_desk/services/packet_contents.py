"""Everything a packet says, gathered from the record for one reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import (
    CautionLine,
    Cover,
    PacketContents,
    PacketKind,
    Party,
    ReadinessLine,
    RequestPart,
    SavingsPart,
    ScopeLine,
    SourceLine,
    VisitPart,
)
from retrofit_desk.paperwork.kinds import Part, profile_of
from retrofit_desk.paperwork.needs import needs_of
from retrofit_desk.paperwork.readiness import FiledPaper, readiness_of
from retrofit_desk.records import models as m
from retrofit_desk.records.papers_store import PapersStore
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.rules.hazards import to_look_for
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.measure_facts import facts_of
from retrofit_desk.services.packet_aims import Aim
from retrofit_desk.services.packet_measures import measure_part
from retrofit_desk.services.packet_money import money_part
from retrofit_desk.services.packet_papers import (
    address_line,
    house_subject,
    measure_subject,
    paper_items,
    photo_titles,
    with_plates_looked_at,
)
from retrofit_desk.services.packet_permits import override_lines, permit_lines, visit_part
from retrofit_desk.services.packet_programme import itemized_line, programme_papers
from retrofit_desk.services.packet_savings import savings_part, savings_readiness, savings_sources
from retrofit_desk.services.quote_message import to_state
from retrofit_desk.services.signing import programmes_chosen
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import Stated, StatedValue

if TYPE_CHECKING:
    from retrofit_desk.estimate.savings import SavingsSum
    from retrofit_desk.services.worth_years import WorthYears

U_VALUES = SourceLine(
    "U-values", "worked out from the recorded layers by ISO 6946:2017, both limits and their mean", None
)
MOST_TOLD = 2


@dataclass(frozen=True)
class Worked:
    """The latest savings sum, if there is one, and whether anything that went in has changed since."""

    sum: SavingsSum | None = None
    is_out_of_date: bool = False
    years: WorthYears | None = None


@dataclass(frozen=True)
class Gathering:
    """What all parts are gathered with; the papers are read once for all packets."""

    session: Session
    papers: Sequence[m.Paper]
    filed: tuple[FiledPaper, ...]
    tables: Tables
    store: PapersStore
    units: Units
    today: date
    worked: Worked


def readiness_lines(with_: Gathering, aim: Aim) -> tuple[ReadinessLine, ...]:
    """What the packet needs against the record, the project's needs first."""
    measures = _measures(with_.session, aim)
    asked = programme_papers(with_.session, with_.tables, aim, with_.today)
    lines = readiness_of(
        asked.added_to(needs_of(aim.kind)),
        house_subject(with_.session),
        [measure_subject(with_.session, measure) for measure in measures],
        with_plates_looked_at(with_.store, with_.papers, with_.filed, {one.key for one in measures}),
        with_.today,
    )
    if aim.kind is PacketKind.REBATE:
        apart = (itemized_line(with_.session, measure, Place(PageKey.MONEY)) for measure in measures)
        lines = (*lines, *(line for line in apart if line is not None), *asked.statements)
    if Part.SAVINGS not in profile_of(aim.kind).parts:
        return lines
    permits = (_permit_line(with_.session, measure) for measure in measures if measure.needs_permit)
    return (savings_readiness(with_.worked.sum, with_.worked.is_out_of_date), *lines, *permits)


def _permit_line(session: Session, measure: m.Measure) -> ReadinessLine:
    """Whether every permit of the measure is issued, passed and free of corrections."""
    facts = facts_of(session, measure)
    waits = (() if facts.permits_issued else ("a permit is not issued yet",)) + facts.open_inspections
    need, place = f"Permits and inspections closed, {measure.title}", Place(PageKey.PERMITS)
    if not waits:
        return ReadinessLine(need, Readiness.HAVE, "all passed", "", place)
    told = "; ".join(waits[:MOST_TOLD]) + (
        f"; and {len(waits) - MOST_TOLD} more" if waits[MOST_TOLD:] else ""
    )
    return ReadinessLine(need, Readiness.MISSING, f"still open: {told}", "See Permits.", place)


def contents_of(with_: Gathering, aim: Aim) -> PacketContents:
    """All that the packet can say; `paperwork.redaction` takes out what its reader must not get."""
    from retrofit_desk.services.packet_house import house_part

    session, parts = with_.session, profile_of(aim.kind).parts
    measures, photos = _measures(session, aim), photo_titles(session, with_.papers)
    lines = readiness_lines(with_, aim)
    return PacketContents(
        cover=_cover(with_, aim),
        units=with_.units,
        readiness=lines,
        house=house_part(session) if Part.HOUSE in parts else None,
        request=_request(session, aim) if aim.kind is PacketKind.CONTRACTOR else None,
        visit=_visit(with_, aim, lines) if aim.kind is PacketKind.INSPECTOR else None,
        measures=tuple(
            measure_part(session, measure, photos.get(measure.id, ()), with_.units) for measure in measures
        ),
        savings=_savings(with_) if Part.SAVINGS in parts else None,
        money=money_part(session, with_.tables, aim) if Part.MONEY in parts else None,
        permits=permit_lines(session, aim.measure_ids),
        overrides=override_lines(session),
        cautions=_cautions(session, with_.tables, measures),
        sources=_sources(with_, aim, parts),
        papers=paper_items(session, with_.store, with_.papers, aim, profile_of(aim.kind)),
    )


def _measures(session: Session, aim: Aim) -> Sequence[m.Measure]:
    rows = select(m.Measure).where(m.Measure.id.in_(aim.measure_ids))
    return session.scalars(rows.order_by(m.Measure.position, m.Measure.id)).all()


def _cover(with_: Gathering, aim: Aim) -> Cover:
    session = with_.session
    site = session.scalar(select(m.Site))
    owners = session.scalars(select(m.Owner).order_by(m.Owner.id)).all()
    first = owners[0] if owners else None
    address = address_line(site) if site is not None else ""
    contact = ", ".join(part for part in (first.phone, first.email) if part) if first is not None else ""
    accounts = session.scalars(select(m.UtilityAccount).order_by(m.UtilityAccount.id))
    return Cover(
        kind=aim.kind,
        reader=aim.reader,
        owner=Party(" and ".join(owner.legal_name or owner.name for owner in owners), "", address, contact),
        project=site.name if site is not None else "House",
        address=address,
        made_on=with_.today,
        purpose=aim.purpose,
        reference=aim.reference,
        accounts=tuple(
            f"{one.utility}, account {one.account_number}" for one in accounts if one.account_number
        ),
    )


def _savings(with_: Gathering) -> SavingsPart | None:
    worked = with_.worked
    if worked.sum is None:
        return None
    states = {measure.key: str(measure.state) for measure in with_.session.scalars(select(m.Measure))}
    return savings_part(worked.sum, worked.is_out_of_date, states, worked.years)


def _request(session: Session, aim: Aim) -> RequestPart:
    request = session.get(m.QuoteRequest, aim.id)
    assert request is not None
    load = session.get(m.DesignLoad, request.design_load_id) if request.design_load_id else None
    unknown: StatedValue[float] = StatedValue(None, Stated.UNKNOWN)
    return RequestPart(
        measure=request.title,
        answer_by=request.answer_by,
        load_heating_w=unknown if load is None else StatedValue(load.heating_w),
        load_at_c=unknown if load is None else StatedValue(load.at_heating_c),
        load_based_on="" if load is None else load.name,
        scope=tuple(ScopeLine(item.text) for item in request.scope),
        to_state=to_state(with_load=load is not None),
    )


def _visit(with_: Gathering, aim: Aim, lines: tuple[ReadinessLine, ...]) -> VisitPart:
    visit = with_.session.get(m.Inspection, aim.id)
    assert visit is not None
    rules = [
        rule
        for template in with_.tables.permit_templates
        for rule in template.inspections
        if rule.kind == visit.kind
    ]
    return visit_part(with_.session, visit, lines, rules[0].ready if rules else ())


def _cautions(session: Session, tables: Tables, measures: Sequence[m.Measure]) -> tuple[CautionLine, ...]:
    """By the permits the work needs and by the age of the house."""
    site = session.scalar(select(m.Site))
    year = site.year_built if site is not None else None
    permits = permit_kinds(session, [measure.id for measure in measures])
    lines = [
        CautionLine(str(template.permit_kind).capitalize(), template.caution)
        for template in tables.permit_templates
        if template.caution and template.permit_kind in permits
    ]
    kinds = {measure.kind for measure in measures}
    lines += [
        CautionLine(hazard.name, f"{hazard.what_to_do} {hazard.caution}")
        for hazard in to_look_for(tables.hazards, year, kinds)
    ]
    return tuple(lines)


def permit_kinds(session: Session, measure_ids: Sequence[int]) -> set[str]:
    links = session.scalars(select(m.PermitMeasure).where(m.PermitMeasure.measure_id.in_(measure_ids)))
    return {str(link.permit.kind) for link in links}


def _sources(with_: Gathering, aim: Aim, parts: Sequence[Part]) -> tuple[SourceLine, ...]:
    session = with_.session
    lines = [U_VALUES] if Part.HOUSE in parts else []
    if Part.SAVINGS in parts and with_.worked.sum is not None:
        lines += savings_sources(with_.worked.sum)
    elif Part.SAVINGS in parts:
        chosen = session.scalars(select(m.WeatherChoice).where(m.WeatherChoice.in_use.is_(True)))
        lines += [
            SourceLine("Weather", f"{one.name}, station {one.station}; {one.source}", None) for one in chosen
        ]
    if Part.MONEY in parts:
        lines += _programme_sources(session, with_.tables, aim)
    return tuple(lines)


def _programme_sources(session: Session, tables: Tables, aim: Aim) -> list[SourceLine]:
    keys = [one.programme_key for one in programmes_chosen(session, *aim.measure_ids)]
    lines = []
    for key in dict.fromkeys(keys):
        try:
            programme = tables.programme(key)
        except NotInTable:
            continue
        version = programme.versions[-1]
        lines.append(SourceLine(programme.name, version.source.title, version.checked_on))
    return lines
