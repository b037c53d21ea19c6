"""Where papers belong: the rooms and measures that each serves, through whatever it is used for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperSubject

Names = defaultdict[int, tuple[str, ...]]
ASKED_AT_ONCE = 500
"""SQLite takes no more values in one question."""
_Where = Callable[["_Links", Any], Iterable[m.Room | m.Measure | None]]


def measures_served(session: Session) -> defaultdict[int, tuple[m.Measure, ...]]:
    """For each paper the measures that it serves."""
    return _served(session)[1]


def rooms_and_measures(session: Session, paper_id: int | None = None) -> tuple[Names, Names]:
    """For each paper, or for one, the names of the rooms and measures that it serves."""
    rooms, measures = _served(session, paper_id)
    return (
        defaultdict(tuple, {paper: tuple(room.name for room in found) for paper, found in rooms.items()}),
        defaultdict(tuple, {paper: tuple(one.title for one in found) for paper, found in measures.items()}),
    )


def _served(
    session: Session, paper_id: int | None = None
) -> tuple[defaultdict[int, tuple[m.Room, ...]], defaultdict[int, tuple[m.Measure, ...]]]:
    """All papers at once, or one: each thing that papers serve is read once, however many serve it."""
    columns = select(m.PaperUse.paper_id, m.PaperUse.subject, m.PaperUse.subject_id).order_by(m.PaperUse.id)
    if paper_id is not None:
        columns = columns.where(m.PaperUse.paper_id == paper_id)
    uses = [use for use in session.execute(columns) if use.subject in _PLACED]
    wanted: defaultdict[PaperSubject, set[int]] = defaultdict(set)
    for use in uses:
        wanted[use.subject].add(use.subject_id)
    links = _Links(session)
    places = {subject: _places_of(session, links, subject, ids) for subject, ids in wanted.items()}
    rooms: defaultdict[int, tuple[m.Room, ...]] = defaultdict(tuple)
    measures: defaultdict[int, tuple[m.Measure, ...]] = defaultdict(tuple)
    for use in uses:
        for one in places[use.subject].get(use.subject_id, ()):
            if isinstance(one, m.Room) and one not in rooms[use.paper_id]:
                rooms[use.paper_id] += (one,)
            if isinstance(one, m.Measure) and one not in measures[use.paper_id]:
                measures[use.paper_id] += (one,)
    return rooms, measures


def _places_of(
    session: Session, links: _Links, subject: PaperSubject, ids: set[int]
) -> dict[int, tuple[m.Room | m.Measure | None, ...]]:
    """For each thing of one kind its rooms and measures."""
    model, where = _PLACED[subject]
    query = select(model)
    if len(ids) <= ASKED_AT_ONCE:
        query = query.where(model.id.in_(ids))
    return {row.id: tuple(where(links, row)) for row in session.scalars(query) if row.id in ids}


class _Links:
    """Which measures a contract and a permit are about: read once, however many papers ask."""

    def __init__(self, session: Session) -> None:
        self.rooms = {room.id: room for room in session.scalars(select(m.Room))}
        self.measures = {measure.id: measure for measure in session.scalars(select(m.Measure))}
        shares = session.execute(select(m.ContractShare.contract_id, m.ContractShare.measure_id))
        permits = session.execute(select(m.PermitMeasure.permit_id, m.PermitMeasure.measure_id))
        self._by_contract, self._by_permit = self._grouped(shares), self._grouped(permits)

    def contract(self, contract_id: int | None) -> list[m.Measure]:
        return self._by_contract[contract_id or 0]

    def permit(self, permit_id: int) -> list[m.Measure]:
        return self._by_permit[permit_id]

    def invoice(self, row: m.Invoice | None) -> list[m.Measure]:
        """Its own measure, else those of its contract."""
        if row is None:
            return []
        return [self.measures[row.measure_id]] if row.measure_id else self.contract(row.contract_id)

    def payment(self, row: m.Payment) -> list[m.Measure]:
        return self.contract(row.contract_id) or self.invoice(row.invoice)

    def machine(self, row: m.Equipment) -> list[m.Room | m.Measure | None]:
        return [self.rooms.get(row.room_id or 0), self.measures.get(row.measure_id or 0)]

    def _grouped(self, pairs: Iterable[Any]) -> defaultdict[int, list[m.Measure]]:
        found: defaultdict[int, list[m.Measure]] = defaultdict(list)
        for about_id, measure_id in pairs:
            found[about_id].append(self.measures[measure_id])
        return found


_PLACED: dict[PaperSubject, tuple[type[Any], _Where]] = {
    PaperSubject.ROOM: (m.Room, lambda _links, room: [room]),
    PaperSubject.SURFACE: (m.Surface, lambda _links, surface: [surface.room]),
    PaperSubject.OPENING: (m.Opening, lambda _links, opening: [opening.surface.room]),
    PaperSubject.MEASURE: (m.Measure, lambda _links, measure: [measure]),
    PaperSubject.WORK_ENTRY: (m.WorkEntry, lambda _links, entry: [entry.measure]),
    PaperSubject.INSTALLED_ITEM: (m.InstalledItem, lambda _links, item: [item.entry.measure]),
    PaperSubject.TEST: (m.CommissioningTest, lambda _links, test: [test.entry.measure]),
    PaperSubject.EQUIPMENT: (m.Equipment, _Links.machine),
    PaperSubject.QUOTE: (m.Quote, lambda _links, quote: [quote.request.measure]),
    PaperSubject.CONTRACT: (m.Contract, lambda links, contract: links.contract(contract.id)),
    PaperSubject.CHANGE_ORDER: (m.ChangeOrder, lambda links, order: links.contract(order.contract_id)),
    PaperSubject.STAGE: (m.StagedPayment, lambda links, stage: links.contract(stage.contract_id)),
    PaperSubject.INVOICE: (m.Invoice, _Links.invoice),
    PaperSubject.PAYMENT: (m.Payment, _Links.payment),
    PaperSubject.LIEN_WAIVER: (m.LienWaiver, lambda links, waiver: links.contract(waiver.contract_id)),
    PaperSubject.PERMIT: (m.Permit, lambda links, permit: links.permit(permit.id)),
    PaperSubject.INSPECTION: (m.Inspection, lambda links, visit: links.permit(visit.permit_id)),
    PaperSubject.CORRECTION: (m.Correction, lambda links, one: links.permit(one.inspection.permit_id)),
    PaperSubject.PROGRAMME: (m.ProgrammeChoice, lambda _links, choice: choice.measures),
    PaperSubject.CLAIM: (m.Claim, lambda _links, claim: claim.choice.measures),
}
