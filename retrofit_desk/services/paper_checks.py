"""Papers held against each other and against the record: serials, models, names, addresses, amounts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.rules.matching import CrossCheck, FactKind, Readiness, Reading, cross_check
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place

THE_RECORD = "the record"
OURS = frozenset({PaperKind.PACKET, PaperKind.WEATHER_FILE})
"""Papers the program made, or that tell nothing of the house."""


@dataclass(frozen=True)
class PaperCheck:
    """One fact that two papers, or a paper and the record, do not say alike.

    `near`: a slip of the pen explains it. `paper_ids`: the papers that differ; `place`: the first of them.
    """

    fact: str
    subject: str
    line: str
    near: bool
    paper_ids: tuple[int, ...]

    @property
    def title(self) -> str:
        return f"Does not match: {self.fact} of {self.subject}"

    @property
    def place(self) -> Place:
        return Place(PageKey.PAPERS, "paper", self.paper_ids[0])


def mismatches(session: Session) -> tuple[PaperCheck, ...]:
    """Everything on paper that does not agree, machines first, then the house, then bills."""
    not_taken = set(session.scalars(select(m.Quote.id).where(m.Quote.state != QuoteState.ACCEPTED)))
    # asked for once as a list: of thousands of papers, few have anything noted
    noted = select(m.PaperFact.paper_id)
    query = select(m.Paper).where(m.Paper.id.in_(noted), m.Paper.kind.not_in(OURS))
    found = session.scalars(query.options(selectinload(m.Paper.facts), selectinload(m.Paper.uses)))
    papers = [
        paper
        for paper in found
        if not any(use.subject is PaperSubject.QUOTE and use.subject_id in not_taken for use in paper.uses)
    ]
    return (
        *_machines(session, papers),
        *_house(session, papers),
        *_owners(session, papers),
        *_money_and_permits(session, papers),
    )


def _machines(session: Session, papers: Sequence[m.Paper]) -> Iterator[PaperCheck]:
    """A paper counts for the machine it is filed for, or for the only machine of its measure."""
    machines = [row for row in session.scalars(select(m.Equipment)) if row.serial or row.model]
    of_measure: defaultdict[int | None, list[m.Equipment]] = defaultdict(list)
    for row in machines:
        of_measure[row.measure_id].append(row)
    mine: defaultdict[int, list[m.Paper]] = defaultdict(list)
    for paper in papers:
        for machine_id in _machines_of(paper, of_measure):
            mine[machine_id].append(paper)
    for row in machines:
        pairs = (
            (FactKind.SERIAL, row.serial, row.second_serial),
            (FactKind.MODEL, row.model, row.second_model),
        )
        for kind, first, second in pairs:
            known = [one for one in (first, second) if one]
            if known:  # of a machine in two parts a paper may mean either
                yield from _one_of(kind, row.name, known, mine[row.id])


def _machines_of(paper: m.Paper, of_measure: defaultdict[int | None, list[m.Equipment]]) -> tuple[int, ...]:
    named = [use.subject_id for use in paper.uses if use.subject is PaperSubject.EQUIPMENT]
    if named:
        return tuple(named)
    measures = [use.subject_id for use in paper.uses if use.subject is PaperSubject.MEASURE]
    alone = [of_measure[one] for one in measures if len(of_measure[one]) == 1]
    return tuple(machines[0].id for machines in alone) if len(measures) == 1 else ()


def _house(session: Session, papers: Sequence[m.Paper]) -> Iterator[PaperCheck]:
    site = session.scalar(select(m.Site))
    if site is not None and site.street:
        town = " ".join(part for part in (site.state, site.postal_code) if part)
        address = ", ".join(part for part in (site.street, site.unit, site.city, town) if part)
        yield from _checked(FactKind.ADDRESS, "the house", address, papers)


def _owners(session: Session, papers: Sequence[m.Paper]) -> Iterator[PaperCheck]:
    """The owner's name as offices compare it; any of the owners will do."""
    names = [row.legal_name or row.name for row in session.scalars(select(m.Owner).order_by(m.Owner.id))]
    if names:
        yield from _one_of(FactKind.NAME, "the owner", names, papers)


def _money_and_permits(session: Session, papers: Sequence[m.Paper]) -> Iterator[PaperCheck]:
    """Bills, contracts, payments and permits: their own paper states their amount, number and day."""
    own: defaultdict[tuple[PaperSubject, int], list[m.Paper]] = defaultdict(list)
    for paper in papers:
        for use in paper.uses:
            if paper.kind is _OWN_PAPER.get(use.subject):
                own[use.subject, use.subject_id].append(paper)
    for subject, row_id, what, expected in _expected(session):
        for kind, value in expected:
            if value:
                yield from _one_of(kind, what, [value], own[subject, row_id])


_OWN_PAPER = {
    PaperSubject.INVOICE: PaperKind.INVOICE,
    PaperSubject.CONTRACT: PaperKind.CONTRACT,
    PaperSubject.PAYMENT: PaperKind.PROOF_OF_PAYMENT,
    PaperSubject.PERMIT: PaperKind.PERMIT,
}
_LABELS = {
    FactKind.ADDRESS: ("", "service address"),
    FactKind.NAME: ("", "holder", "applicant", "owner", "account"),
    FactKind.SERIAL: ("", "outdoor", "indoor"),
    FactKind.MODEL: ("", "outdoor", "indoor"),
}
"""Which of several facts of a kind speaks of the thing itself; others, such as an old plate, do not."""
_Expected = tuple[PaperSubject, int, str, tuple[tuple[FactKind, str], ...]]


def _expected(session: Session) -> Iterator[_Expected]:
    amount, number, day = FactKind.AMOUNT, FactKind.NUMBER, FactKind.DATE
    for bill in session.scalars(select(m.Invoice)):
        facts = ((amount, str(bill.amount_cents)), (number, bill.number), (day, bill.on.isoformat()))
        yield PaperSubject.INVOICE, bill.id, f"bill {bill.number}".strip(), facts
    for one in session.scalars(select(m.Contract)):
        signed = one.signed_on.isoformat() if one.signed_on else ""
        facts = ((amount, str(one.price_cents)), (number, one.number), (day, signed))
        yield PaperSubject.CONTRACT, one.id, f"contract {one.title}", facts
    for paid in session.scalars(select(m.Payment)):
        facts_ = ((amount, str(paid.amount_cents)),)
        yield PaperSubject.PAYMENT, paid.id, f"payment of {day_text(paid.on)}", facts_
    for permit in session.scalars(select(m.Permit)):
        yield PaperSubject.PERMIT, permit.id, permit.title, ((number, permit.number),)


def _one_of(
    kind: FactKind, subject: str, known: Sequence[str], papers: Sequence[m.Paper]
) -> Iterator[PaperCheck]:
    """A paper agrees with the record when it says one of the values; else it is held against the nearest."""
    for paper in papers:
        checks = [list(_checked(kind, subject, one, [paper])) for one in known]
        if all(checks):
            nearest = next((found for found in checks if found[0].near), checks[0])
            yield from nearest


def _checked(kind: FactKind, subject: str, expected: str, papers: Sequence[m.Paper]) -> Iterator[PaperCheck]:
    readings: list[tuple[m.Paper, Reading]] = [
        (paper, Reading(paper.title, fact.value))
        for paper in papers
        for fact in paper.facts
        if fact.kind.value == kind.value and fact.label in _LABELS.get(kind, ("", "total"))
    ]
    for paper, reading in readings:
        found: CrossCheck = cross_check(kind, subject, Reading(THE_RECORD, expected), [reading])
        if found.word is Readiness.DOES_NOT_MATCH:
            yield PaperCheck(str(kind), subject, found.line, found.near, (paper.id,))
