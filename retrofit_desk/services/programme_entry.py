"""Choosing rebate programmes, and what their offices answered: reservations, claims, refusals, payments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.programmes import FALLEN, ClaimState, ReservationState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_of
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.programme_file import Version
from retrofit_desk.services.choice_facts import FactName, assessed_on
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.modeled_savings import modeled_savings
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.programme_facts import GONE
from retrofit_desk.services.rebate_values import (
    RebateSheet,
    WrittenClaim,
    WrittenFall,
    WrittenRebate,
    WrittenReservation,
)
from retrofit_desk.services.signing import programme_name
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

NOTHING = "nothing was changed"
_ANSWERED_NO = (ClaimState.BOUNCED, ClaimState.REFUSED)


__all__ = [
    "FALLEN",
    "ClaimState",
    "ProgrammeEntryService",
    "RebateSheet",
    "ReservationState",
    "WrittenClaim",
    "WrittenFall",
    "WrittenRebate",
    "WrittenReservation",
]


class RebateUnclear(DeskError):
    """Something about a rebate that cannot be recorded as it stands."""


class ProgrammeEntryService:
    """Every change is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def sheet(self, choice_id: int) -> RebateSheet:
        """Raises `RebateUnclear` for a choice that is not on record."""
        with self._project.session() as session:
            row = _choice(session, choice_id)
            reservation = row.reservations[-1] if row.reservations else None
            claim = row.claims[-1] if row.claims else None
            version = self._version(row, today_of(session))
            amount = version.amount if version is not None else None
            modeled = modeled_savings(self._project)
            return RebateSheet(
                row.id,
                programme_name(row.programme_key, self._tables()),
                row.subject,
                today_of(session),
                _written_rebate(row),
                _may_pay_for(session, row, version),
                amount is not None and bool(amount.savings_tiers),
                amount is not None and amount.measured is not None,
                _products(row, version),
                version is not None and version.asks_assessment,
                modeled.words if modeled is not None else "",
                _written_reservation(reservation) if reservation else None,
                _written_claim(claim) if claim else None,
            )

    def choose(
        self,
        measure_id: int,
        programme_key: str,
        expected_cents: StatedValue[int],
        *,
        others: Sequence[int] = (),
        is_whole_house: bool = False,
    ) -> int:
        """Mean to use a programme for a measure and `others`, or for the house that they are done to.

        What is expected is the rule's amount until corrected.
        """
        with self._project.action("Choose a rebate programme") as work:
            session = work.session
            row = session.scalar(
                select(m.ProgrammeChoice).where(
                    m.ProgrammeChoice.measure_id == measure_id,
                    m.ProgrammeChoice.programme_key == programme_key,
                    m.ProgrammeChoice.is_whole_house.is_(is_whole_house),
                )
            )
            if row is None:
                row = m.ProgrammeChoice(
                    measure_id=measure_id, programme_key=programme_key, is_whole_house=is_whole_house
                )
                session.add(row)
            _pay_for(row, (measure_id, *others))
            row.is_dropped, row.chosen_on = False, today_of(session)
            row.set_stated("expected_cents", expected_cents)
            session.flush()
            return row.id

    def correct(self, choice_id: int, written: WrittenRebate) -> None:
        """What the owner expects, what it pays for, and the facts that only this programme asks for."""
        with self._project.action("Correct a rebate") as work:
            row = _choice(work.session, choice_id)
            row.set_stated("expected_cents", written.expected_cents)
            told = {
                FactName.UNITS: written.units,
                FactName.SAVINGS_SHARE: written.savings_share,
                FactName.SAVED_KWH: written.saved_kwh,
                FactName.STATE_AVERAGE_KWH: written.state_average_kwh,
                FactName.ASSESSED_ON: written.assessed_on.isoformat() if written.assessed_on else None,
                FactName.PRODUCTS: dict(written.products) or None,
            }
            others = {key: value for key, value in row.facts.items() if key not in told}
            row.facts = others | {key: value for key, value in told.items() if value is not None}
            if written.measure_ids:
                _pay_for(row, written.measure_ids)

    def income(self) -> StatedValue[float]:
        """Household income over the area's median; private, only programmes and their packets ask for it."""
        with self._project.session() as session:
            site = session.scalar(select(m.Site))
            unknown: StatedValue[float] = StatedValue(None, Stated.UNKNOWN)
            return site.stated("household_income_share") if site is not None else unknown

    def set_income(self, share: StatedValue[float]) -> None:
        """Raises `RebateUnclear` where no house is recorded, or for less than nothing."""
        if share.value is not None and share.value < 0:
            raise RebateUnclear("income is not less than nothing", kept=NOTHING, do="correct it")
        with self._project.action("State the household's income") as work:
            site = work.session.scalar(select(m.Site))
            if site is None:
                raise RebateUnclear("no house is recorded yet", kept=NOTHING, do="describe it first")
            site.set_stated("household_income_share", share)

    def drop(self, choice_id: int) -> None:
        """Not used any more; what was reserved and claimed stays on record."""
        with self._project.action("Drop a rebate programme") as work:
            row = _choice(work.session, choice_id)
            if any(one.state is ClaimState.PAID for one in row.claims):
                raise RebateUnclear("this rebate is paid", kept=NOTHING, do="it stays in the sums")
            row.is_dropped = True

    def record_reservation(self, choice_id: int, told: WrittenReservation) -> HoldEffect:
        """One asked for is carried on; one that was lost or used stays, and a new one begins."""
        with self._project.action("Record a reservation") as work:
            session = work.session
            choice, today = _choice(session, choice_id), today_of(session)
            before = holds_in(session, today)
            if told.state in FALLEN or told.state is ReservationState.APPEALED:
                raise RebateUnclear(f"{told.state} needs its day and reason", do="say how it fell away")
            if told.state is ReservationState.HELD and told.held_from is None:
                raise RebateUnclear(
                    "a reservation counts from the day of its letter", kept=NOTHING, do="type the day"
                )
            last = choice.reservations[-1] if choice.reservations else None
            if last is None or last.state in (*FALLEN, ReservationState.USED):
                last = m.Reservation()
                choice.reservations.append(last)
            last.state, last.number = told.state, told.number.strip()
            last.asked_on, last.held_from = told.asked_on, told.held_from
            last.ends_on = told.ends_on or self._ends_on(choice, told)
            last.set_stated("amount_cents", told.amount_cents)
            session.flush()
            last.paper_id = (
                _file(work, choice, told.paper, PaperKind.RESERVATION, told.held_from) or last.paper_id
            )
            session.flush()
            return effect_between(before, holds_in(session, today), choice.measure_id)

    def record_fall(self, choice_id: int, told: WrittenFall) -> HoldEffect:
        """It was declined, ran out, was lost, or is appealed against. What it freed waits again.

        Raises `RebateUnclear` without a day, without a reason for what was declined or lost, and for an
        appeal where nothing fell away.
        """
        with self._project.action("Record that a reservation fell away") as work:
            session = work.session
            choice, today = _choice(session, choice_id), today_of(session)
            before = holds_in(session, today)
            last = choice.reservations[-1] if choice.reservations else None
            if last is None:
                raise RebateUnclear("nothing was asked for yet", kept=NOTHING, do="record the reservation")
            _check_fall(last, told)
            if told.state is ReservationState.APPEALED:
                last.appealed_on = told.on
            else:
                last.answered_on = told.on
                last.appeal_by = told.appeal_by or self._appeal_by(choice, told.on)
            last.state = told.state
            last.answer = "\n".join(part for part in (last.answer, told.said.strip()) if part)
            session.flush()
            last.paper_id = _file(work, choice, told.paper, PaperKind.LETTER, told.on) or last.paper_id
            session.flush()
            return effect_between(before, holds_in(session, today), choice.measure_id)

    def record_claim(self, choice_id: int, told: WrittenClaim) -> None:
        """The claim goes on; after a refusal that nobody appeals against a new one begins."""
        with self._project.action("Record a claim") as work:
            session = work.session
            choice = _choice(session, choice_id)
            _check_claim(told)
            last = choice.claims[-1] if choice.claims else None
            if last is None or (last.state is ClaimState.REFUSED and told.state is ClaimState.NOT_SENT):
                last = m.Claim()
                choice.claims.append(last)
            last.state, last.number, last.answer = told.state, told.number.strip(), told.answer.strip()
            last.claim_by, last.sent_on, last.answered_on = told.claim_by, told.sent_on, told.answered_on
            refused_on = told.answered_on if told.state in _ANSWERED_NO else None
            last.appeal_by = told.appeal_by or self._appeal_by(choice, refused_on)
            last.paid_on = told.paid_on
            last.set_stated("asked_cents", told.asked_cents)
            last.set_stated("paid_cents", told.paid_cents)
            if told.state is ClaimState.PAID:
                for one in choice.reservations:
                    one.state = ReservationState.USED if one.state is ReservationState.HELD else one.state
            session.flush()
            day = told.paid_on or told.answered_on or told.sent_on
            last.paper_id = _file(work, choice, told.paper, PaperKind.CLAIM, day, last.id) or last.paper_id

    def _ends_on(self, choice: m.ProgrammeChoice, told: WrittenReservation) -> date | None:
        version = self._version(choice, told.held_from)
        rule = version.reservation if version is not None else None
        if rule is None or told.held_from is None:
            return None
        by_days = told.held_from + timedelta(days=rule.valid_days) if rule.valid_days else None
        return min((day for day in (by_days, rule.valid_until) if day), default=None)

    def _appeal_by(self, choice: m.ProgrammeChoice, refused_on: date | None) -> date | None:
        """By the days of the rule, from the day of a refusal."""
        version = self._version(choice, refused_on)
        days = version.appeal_within_days if version is not None else None
        return None if refused_on is None or days is None else refused_on + timedelta(days=days)

    def _version(self, choice: m.ProgrammeChoice, day: date | None) -> Version | None:
        try:
            programme = self._tables().programme(choice.programme_key)
        except NotInTable:
            return None
        return programme.version_on(day) if day is not None else None

    def _tables(self) -> Tables:
        return tables_of(self._project)


def _check_fall(last: m.Reservation, told: WrittenFall) -> None:
    if told.on is None:
        raise RebateUnclear(
            "no day is given", kept=NOTHING, do="type the day; the time to appeal runs from it"
        )
    if told.state is ReservationState.APPEALED:
        if last.state not in FALLEN:
            raise RebateUnclear("nothing fell away to appeal against", kept=NOTHING, do="record that first")
        return
    if told.state not in FALLEN:
        raise RebateUnclear(
            f"a reservation that is {told.state} stands", kept=NOTHING, do="record it as such"
        )
    if last.state is ReservationState.USED:
        raise RebateUnclear("it was used by a paid claim", kept=NOTHING, do="undo the claim first")
    if told.state is not ReservationState.RAN_OUT and not told.said.strip():
        raise RebateUnclear("why is not said", kept=NOTHING, do="type what the office said, or what happened")


def _check_claim(told: WrittenClaim) -> None:
    if told.state is ClaimState.PAID and (told.paid_on is None or not told.paid_cents.is_known):
        raise RebateUnclear("a payment needs its day and its amount", kept=NOTHING, do="type both")
    if told.state is ClaimState.SENT and told.sent_on is None:
        raise RebateUnclear("a claim that was sent needs its day", kept=NOTHING, do="type it")
    if told.state in _ANSWERED_NO and (told.answered_on is None or not told.answer.strip()):
        raise RebateUnclear(
            "a refusal needs its day and what the office said", kept=NOTHING, do="type both; the appeal runs"
        )


def _file(
    work: Work,
    choice: m.ProgrammeChoice,
    path: Path | None,
    kind: PaperKind,
    on: date | None,
    claim_id: int | None = None,
) -> int | None:
    if path is None:
        return None
    uses = [Use(PaperSubject.PROGRAMME, choice.id)]
    uses += [Use(PaperSubject.MEASURE, measure.id) for measure in choice.measures]
    if claim_id is not None:
        uses.append(Use(PaperSubject.CLAIM, claim_id))
    title = f"{str(kind).capitalize()}, {choice.subject}"
    return file_in(work, path, Filing(kind, title, on, uses=tuple(uses)))[0]


def _pay_for(row: m.ProgrammeChoice, measure_ids: Sequence[int]) -> None:
    """The first one and the others; links that stay are kept as they are."""
    row.measure_id, others = measure_ids[0], list(dict.fromkeys(measure_ids[1:]))
    kept = {one.measure_id: one for one in row.others}
    row.others = [kept.get(one) or m.ChoiceMeasure(measure_id=one) for one in others if one != row.measure_id]


def _may_pay_for(
    session: Session, row: m.ProgrammeChoice, version: Version | None
) -> tuple[tuple[int, str], ...]:
    """Those of its rule's kinds, for the house all that are not given up; besides what it has."""
    own = {one.id for one in row.measures}
    kinds = version.kinds if version is not None else ()
    found = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
    return tuple(
        (one.id, one.title)
        for one in found
        if one.id in own or (one.state not in GONE and (row.is_whole_house or one.kind in kinds))
    )


def _products(row: m.ProgrammeChoice, version: Version | None) -> tuple[str, ...]:
    asked = version.products_asked({one.kind for one in row.measures}) if version is not None else ()
    return tuple(one.asks for one in asked)


def _written_rebate(row: m.ProgrammeChoice) -> WrittenRebate:
    return WrittenRebate(
        row.stated("expected_cents"),
        _number(row, FactName.UNITS),
        _number(row, FactName.SAVINGS_SHARE),
        tuple(one.id for one in row.measures),
        _number(row, FactName.SAVED_KWH),
        _number(row, FactName.STATE_AVERAGE_KWH),
        tuple(row.facts.get(FactName.PRODUCTS, {}).items()),
        assessed_on(row),
    )


def _number(row: m.ProgrammeChoice, fact: FactName) -> float | None:
    told = row.facts.get(fact)
    return None if told is None else float(told)


def _written_reservation(row: m.Reservation) -> WrittenReservation:
    amount = row.stated("amount_cents")
    return WrittenReservation(row.state, row.number, row.asked_on, row.held_from, row.ends_on, amount)


def _written_claim(row: m.Claim) -> WrittenClaim:
    return WrittenClaim(
        row.state,
        row.number,
        row.claim_by,
        row.sent_on,
        row.answered_on,
        row.appeal_by,
        row.stated("asked_cents"),
        row.paid_on,
        row.stated("paid_cents"),
        row.answer,
    )


def _choice(session: Session, choice_id: int) -> m.ProgrammeChoice:
    row = session.get(m.ProgrammeChoice, choice_id)
    if row is None:
        raise RebateUnclear("this rebate is no longer recorded", do="undo, or look at the list again")
    return row
