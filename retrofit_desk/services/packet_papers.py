"""Filed papers as a packet sees them: what answers a need, what is merged behind, what is private."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.paperwork.contents import PacketKind, PaperItem, Private
from retrofit_desk.paperwork.kinds import PacketProfile
from retrofit_desk.paperwork.needs import When
from retrofit_desk.paperwork.papers import DAMAGED
from retrofit_desk.paperwork.readiness import FiledPaper, Subject
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.programmes import FALLEN
from retrofit_desk.records.papers_store import PapersStore
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.services.packet_aims import Aim
from retrofit_desk.services.packet_measures import firms_of, is_serialed
from retrofit_desk.services.packet_money import payments_of
from retrofit_desk.services.paper_places import measures_served
from retrofit_desk.values.dates import day_text

_PRICED = frozenset(
    {
        PaperKind.QUOTE,
        PaperKind.CONTRACT,
        PaperKind.CHANGE_ORDER,
        PaperKind.INVOICE,
        PaperKind.RECEIPT,
        PaperKind.PROOF_OF_PAYMENT,
        PaperKind.LIEN_WAIVER,
        PaperKind.LOAN,
        PaperKind.CLAIM,
        PaperKind.RESERVATION,
    }
)
_WITH_ACCOUNTS = frozenset({PaperKind.UTILITY_BILL, PaperKind.PROOF_OF_PAYMENT})
OF_THE_HOUSE = frozenset(
    {
        PaperKind.INCOME_PROOF,
        PaperKind.OWNERSHIP_PROOF,
        PaperKind.UTILITY_BILL,
        PaperKind.LOAN,
        PaperKind.HAZARD_REPORT,
    }
)
"""Kinds that belong to a packet whichever measures it is about."""
PLATE_FACTS = (FactKind.SERIAL, FactKind.MODEL)
FEWEST_PX = 480
"""A plate photographed on fewer dots is not readable: own judgment."""


def papers_in(session: Session) -> Sequence[m.Paper]:
    """Every filed paper, the oldest first; a letter of a reservation that fell away speaks for nothing."""
    fell = select(m.Reservation.paper_id).where(
        m.Reservation.state.in_(FALLEN), m.Reservation.paper_id.is_not(None)
    )
    query = select(m.Paper).where(m.Paper.id.not_in(fell))
    query = query.options(selectinload(m.Paper.facts), selectinload(m.Paper.uses))
    return session.scalars(query.order_by(m.Paper.on_paper, m.Paper.id)).all()


def filed_papers(session: Session, papers: Sequence[m.Paper]) -> tuple[FiledPaper, ...]:
    """As readiness looks at them."""
    served, gone = measures_served(session), _plates_of_the_gone(session)
    return tuple(
        FiledPaper(
            title=paper.title,
            kind=str(paper.kind),
            dated_on=paper.on_paper,
            ends_on=paper.ends_on,
            about=frozenset(measure.key for measure in served[paper.id]),
            facts=tuple(
                Fact(one.kind, one.value, one.label)
                for one in paper.facts
                if (str(one.kind), one.value) not in gone
            ),
        )
        for paper in papers
    )


def with_plates_looked_at(
    store: PapersStore, papers: Sequence[m.Paper], filed: Sequence[FiledPaper], measures: set[str]
) -> tuple[FiledPaper, ...]:
    """The photos that should show a plate of these measures, each opened; whether words can be read on it."""

    def is_plate(paper: m.Paper, one: FiledPaper) -> bool:
        states = any(fact.kind in PLATE_FACTS for fact in one.facts)
        return paper.kind is PaperKind.PHOTO and states and bool(one.about & measures)

    return tuple(
        replace(one, trouble=_photo_trouble(store.path(paper.sha256))) if is_plate(paper, one) else one
        for paper, one in zip(papers, filed, strict=True)
    )


def _photo_trouble(path: Path) -> str:
    from PIL import Image

    try:
        with Image.open(path) as photo:
            long_side = max(photo.size)
            photo.verify()
    except FileNotFoundError:
        return "is gone from the papers folder; its record was kept"
    except Exception:  # a broken picture may fail anywhere in the decoder
        return DAMAGED
    if long_side < FEWEST_PX:
        return f"is only {long_side} dots wide, too coarse to read a plate"
    return ""


def _plates_of_the_gone(session: Session) -> set[tuple[str, str]]:
    """Serials and models of removed machines: a photo of their plate speaks for nothing that was fitted."""
    machines = session.scalars(select(m.Equipment).where(m.Equipment.status == m.EquipmentStatus.REMOVED))
    told = ((("serial", one.serial), ("model", one.model)) for one in machines)
    return {plate for pair in told for plate in pair if plate[1]}


def paper_items(
    session: Session, store: PapersStore, papers: Sequence[m.Paper], aim: Aim, profile: PacketProfile
) -> tuple[PaperItem, ...]:
    """What is merged behind: the kinds this reader gets, about these measures, in its profile's order."""
    served, wanted = measures_served(session), set(aim.measure_ids)
    found: dict[str, list[PaperItem]] = defaultdict(list)
    for paper in papers:
        about = [measure for measure in served[paper.id] if measure.id in wanted]
        if str(paper.kind) in profile.brings and (about or _belongs_to_house(paper, aim)):
            found[str(paper.kind)].append(_item(store, paper, about))
    return tuple(item for kind in profile.brings for item in found[kind])


def photo_titles(session: Session, papers: Sequence[m.Paper]) -> dict[int, tuple[str, ...]]:
    """For each measure the titles of its photos."""
    served = measures_served(session)
    titles: dict[int, list[str]] = defaultdict(list)
    for paper in papers:
        if paper.kind is PaperKind.PHOTO:
            for measure in served[paper.id]:
                titles[measure.id].append(paper.title)
    return {measure_id: tuple(names) for measure_id, names in titles.items()}


def _belongs_to_house(paper: m.Paper, aim: Aim) -> bool:
    if paper.kind in OF_THE_HOUSE:
        return paper.kind is not PaperKind.LOAN or aim.kind is PacketKind.LENDER
    # the next owner gets all that was ever measured or drawn of the house
    whole = aim.kind is PacketKind.NEXT_OWNER and paper.kind is not PaperKind.PHOTO
    return whole and any(use.subject is PaperSubject.LEAKAGE_TEST for use in paper.uses)


def _item(store: PapersStore, paper: m.Paper, about: Sequence[m.Measure]) -> PaperItem:
    return PaperItem(
        path=store.path(paper.sha256),
        title=paper.title,
        kind=str(paper.kind),
        sha256=paper.sha256,
        dated_on=paper.on_paper,
        about="; ".join(measure.title for measure in about),
        private=_private(paper),
        geotag=_geotag(paper),
    )


def _private(paper: m.Paper) -> frozenset[Private]:
    found = set()
    if paper.kind in _PRICED:
        found.add(Private.PRICES)
    if paper.kind in _WITH_ACCOUNTS:
        found.add(Private.ACCOUNT)
    elif paper.is_private or paper.kind is PaperKind.INCOME_PROOF:
        found.add(Private.INCOME)
    if paper.latitude_deg is not None:
        found.add(Private.GEOTAG)
    return frozenset(found)


def _geotag(paper: m.Paper) -> str:
    if paper.latitude_deg is None or paper.longitude_deg is None:
        return ""
    return f"{paper.latitude_deg:.5f}, {paper.longitude_deg:.5f}".replace("-", "−")


# what the record says, for the papers to agree with


def house_subject(session: Session) -> Subject:
    """The house with its address and its owner's legal name."""
    site = session.scalar(select(m.Site))
    owner = session.scalar(select(m.Owner).order_by(m.Owner.id))
    facts = [Fact(FactKind.ADDRESS, address_line(site))] if site is not None and site.street else []
    if owner is not None:
        facts.append(Fact(FactKind.NAME, owner.legal_name or owner.name))
    return Subject("", "", site.name if site is not None else "the house", tuple(facts))


def address_line(site: m.Site) -> str:
    """One line as the post writes it."""
    street = " ".join(part for part in (site.street, site.unit) if part)
    place = " ".join(part for part in (site.state, site.postal_code) if part)
    return ", ".join(part for part in (street, site.city, place) if part)


def measure_subject(session: Session, measure: m.Measure) -> Subject:
    """A measure with serials, models, firms and amounts as recorded."""
    entries = [entry for entry in measure.entries if not entry.is_draft]
    items = [item for entry in entries for item in entry.items if is_serialed(item)]
    machines = session.scalars(select(m.Equipment).where(m.Equipment.measure_id == measure.id)).all()
    facts = _plates(items, machines)
    firms = firms_of(session, measure)
    named = dict.fromkeys((*firms, *_sellers(session, measure)))
    facts += _labeled(FactKind.FIRM, [(firm.name, firm.legal_name or firm.name) for firm in named])
    paid = payments_of(session, {measure.id})
    facts += _labeled(FactKind.AMOUNT, [(day_text(row.on), str(row.amount_cents)) for row in paid])
    is_plain = not items and not any(fact.kind is FactKind.SERIAL for fact in facts)
    return Subject(
        key=measure.key,
        kind=measure.kind,
        title=measure.title,
        facts=tuple(dict.fromkeys(facts)),
        record_id=measure.id,
        has_no=frozenset({FactKind.SERIAL, FactKind.MODEL}) if is_plain else frozenset(),
        is_so=_is_so(session, measure, bool(firms), paid),
    )


def _sellers(session: Session, measure: m.Measure) -> list[m.Firm]:
    """Who sold something for the measure without a contract."""
    query = select(m.Invoice).where(m.Invoice.measure_id == measure.id, m.Invoice.contract_id.is_(None))
    return [invoice.firm for invoice in session.scalars(query)]


def _labeled(kind: FactKind, told: Sequence[tuple[str, str]]) -> list[Fact]:
    """Facts of one kind; of several each says which it is."""
    return [Fact(kind, value, label if len(told) > 1 else "") for label, value in told]


def _is_so(
    session: Session, measure: m.Measure, has_firm: bool, paid: Sequence[m.Payment]
) -> frozenset[When]:
    told = (
        (When.PERMIT_NEEDED, measure.needs_permit),
        (When.UNDER_CONTRACT, has_firm),
        (When.PAID, bool(paid)),
        (When.PAID_FOR_WORK, any(_is_for_work(session, row) for row in paid)),
    )
    return frozenset(when for when, is_so in told if is_so)


def _is_for_work(session: Session, payment: m.Payment) -> bool:
    """Under a contract and no mere deposit."""
    stage = session.get(m.StagedPayment, payment.stage_id) if payment.stage_id else None
    return payment.contract_id is not None and not (stage is not None and stage.is_deposit)


def _plates(items: Sequence[m.InstalledItem], machines: Sequence[m.Equipment]) -> list[Fact]:
    facts = []
    for item in items:
        facts += [Fact(FactKind.SERIAL, item.serial)] if item.serial else []
        facts += [Fact(FactKind.MODEL, item.model)] if item.model else []
    for machine in machines:
        pairs = ((machine.serial, machine.model), (machine.second_serial, machine.second_model))
        for serial, model in pairs:
            facts += [Fact(FactKind.SERIAL, serial)] if serial else []
            facts += [Fact(FactKind.MODEL, model)] if model and serial else []
    return facts
