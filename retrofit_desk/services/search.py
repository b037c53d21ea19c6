"""Go to: room, measure, firm, permit, serial, case with a utility, paper, part of Worth by typed letters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.places import found
from retrofit_desk.services.worth_parts import VIEWS, WorthPart, worth_place
from retrofit_desk.values.place import Found, PageKey, Place


@dataclass(frozen=True)
class _Candidate:
    words: str
    found: Found


class SearchService:
    """Finds recorded things by what is written on them."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def find(self, typed: str, most: int = 12) -> tuple[Found, ...]:
        """The best answers first: titles that start with the words, titles that hold them, then the rest."""
        words = typed.casefold().split()
        if not words:
            return ()
        with self._project.session() as session:
            hits = [
                (self._rank(candidate, words), number, candidate.found)
                for number, candidate in enumerate(_candidates(session))
                if all(word in candidate.words for word in words)
            ]
        return tuple(hit for _, _, hit in sorted(hits, key=lambda hit: hit[:2])[:most])

    @staticmethod
    def _rank(candidate: _Candidate, words: list[str]) -> int:
        title = candidate.found.title.casefold()
        if title.startswith(" ".join(words)):
            return 0
        return 1 if all(word in title for word in words) else 2


def _candidates(session: Session) -> Iterator[_Candidate]:
    for room in session.scalars(select(m.Room)):
        yield _candidate(found(room), room.kind)
    for measure in session.scalars(select(m.Measure).order_by(m.Measure.position)):
        yield _candidate(found(measure), measure.state)
    for firm in session.scalars(select(m.Firm)):
        people = " ".join(person.name for person in firm.people)
        yield _candidate(found(firm), firm.trade, firm.phone, people)
    for permit in session.scalars(select(m.Permit)):
        yield _candidate(found(permit), permit.number, permit.kind)
    yield from _machines(session)
    for meter in session.scalars(select(m.Meter).where(m.Meter.account_id.is_not(None))):
        yield _account(meter)
    facts: defaultdict[int, list[str]] = defaultdict(list)
    for paper_id, value in session.execute(select(m.PaperFact.paper_id, m.PaperFact.value)):
        facts[paper_id].append(value)
    columns = select(m.Paper.id, m.Paper.title, m.Paper.kind, m.Paper.original_name)
    for paper_id, title, kind, name in session.execute(columns.order_by(m.Paper.id)):
        hit = Found(title, str(kind), Place(PageKey.PAPERS, "paper", paper_id))
        yield _candidate(hit, name, " ".join(facts[paper_id]))
    for part in WorthPart:
        for where in (part, *VIEWS.get(part, ())):
            yield _candidate(Found(where.heading, "part of Worth", worth_place(where)))


def _machines(session: Session) -> Iterator[_Candidate]:
    for machine in session.scalars(select(m.Equipment)):
        yield _candidate(found(machine), machine.make, machine.model, machine.serial, machine.second_serial)
    for item in session.scalars(select(m.InstalledItem)):
        hit = found(item)
        detail = f"serial {item.serial}" if item.serial else hit.detail
        yield _candidate(Found(hit.title, detail, hit.place), item.make, item.model, item.serial)


def _account(meter: m.Meter) -> _Candidate:
    account = meter.account
    assert account is not None
    case = f", case {account.case_number}" if account.case_number else ""
    hit = Found(f"{account.utility}, {meter.name}", f"account{case}", found(meter).place)
    return _candidate(hit, account.account_number, account.name_on_account, meter.number)


def _candidate(hit: Found, *more: str) -> _Candidate:
    return _Candidate(" ".join((hit.title, hit.detail, *more)).casefold(), hit)
