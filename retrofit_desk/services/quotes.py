"""Quotes: the same question to every firm, and what each really offers."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.services.days import today_of
from retrofit_desk.services.quote_values import (
    Acceptance,
    QuoteGone,
    QuoteUnclear,
    RequestChoices,
    RequestRow,
    RequestSheet,
    WrittenQuote,
    WrittenRequest,
)
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.stated import StatedValue


class QuoteService:
    """Reads requests and quotes; every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def rows(self) -> tuple[RequestRow, ...]:
        """All requests, those still open first, then the newest."""
        with self._project.session() as session:
            rows = [row_of(request) for request in _requests(session)]
        newest = sorted(rows, key=lambda row: row.asked_on or date.min, reverse=True)
        return tuple(sorted(newest, key=lambda row: bool(row.accepted_firm) or row.is_closed))

    def sheet(self, request_id: int) -> RequestSheet:
        """One request with every answer, as of today. Raises `QuoteGone`."""
        from retrofit_desk.services.quote_sheet import sheet_of

        with self._project.session() as session:
            request = found_request(session, request_id)
            return sheet_of(session, request, self._tables(), today_of(session))

    def request_of(self, quote_id: int) -> int:
        """The request that a quote answers. Raises `QuoteGone`."""
        with self._project.session() as session:
            return found_quote(session, quote_id).request_id

    def choices(self) -> RequestChoices:
        with self._project.session() as session:
            measures = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
            loads = session.scalars(select(m.DesignLoad).order_by(m.DesignLoad.made_at))
            firms = session.scalars(
                select(m.Firm)
                .where(m.Firm.kind.in_([m.FirmKind.CONTRACTOR, m.FirmKind.SUPPLIER, m.FirmKind.TESTER]))
                .order_by(m.Firm.name)
            )
            return RequestChoices(
                tuple((row.id, row.title) for row in measures),
                tuple((row.id, row.name) for row in loads),
                tuple((row.id, row.name) for row in firms),
                today_of(session),
            )

    def usual_lines(self, measure_id: int) -> tuple[str, ...]:
        """What this kind of work usually takes, so that no price is low by leaving a line out."""
        with self._project.session() as session:
            kind = session.get_one(m.Measure, measure_id).kind
        scopes = [one for one in self._tables().usual_scopes if not one.measures or kind in one.measures]
        return tuple(line for one in scopes for line in one.lines)

    def record_request(self, written: WrittenRequest, request_id: int | None = None) -> int:
        """Write a new request down, or change one. Lines that answers refer to are never dropped.

        Raises `QuoteUnclear`, `QuoteGone`.
        """
        from retrofit_desk.services.quote_entry import put_request

        with self._project.action("Ask for quotes" if request_id is None else "Change a request") as work:
            return put_request(work.session, written, request_id)

    def keep_load(self) -> int:
        """Work out the design load of the house as described, and keep it for firms to size by.

        Returns its id. Raises `CannotSay`.
        """
        from retrofit_desk.services.house import HouseService

        load = HouseService(self._project).load()
        with self._project.action("Keep a design load") as work:
            made_on = today_of(work.session)
            row = m.DesignLoad(
                name=f"as described on {day_text(made_on)}",
                heating_w=load.heating_w,
                at_heating_c=load.outside_c,
                method="Room by room, balance by EN 12831, no sun or gains counted",
                made_at=datetime.combine(made_on, time(12), UTC),
            )
            work.session.add(row)
            work.session.flush()
            return row.id

    def ask_firms(self, request_id: int, firm_ids: tuple[int, ...]) -> None:
        """Note that these firms got the request sheet today."""
        from retrofit_desk.services.quote_entry import ask

        with self._project.action("Ask firms for a quote") as work:
            ask(work.session, found_request(work.session, request_id), firm_ids)

    def record_quote(self, request_id: int, written: WrittenQuote, quote_id: int | None = None) -> int:
        """Enter a firm's answer, or correct it; the measure becomes priced. Raises `QuoteUnclear`."""
        from retrofit_desk.services.quote_entry import put_quote

        with self._project.action("Enter a quote" if quote_id is None else "Correct a quote") as work:
            return put_quote(work, found_request(work.session, request_id), written, quote_id)

    def guess(self, scope_id: int, cents: StatedValue[int], source: str) -> None:
        """Set the owner's guess for a line, which counts for every firm that leaves it out."""
        with self._project.action("Guess what a line costs") as work:
            row = work.session.get(m.ScopeItem, scope_id)
            if row is None:
                raise QuoteGone("this line is no longer asked for", do="look at the request again")
            row.set_stated("guess_cents", cents)
            row.guess_source = source

    def decline(self, quote_id: int) -> None:
        with self._project.action("Decline a quote") as work:
            found_quote(work.session, quote_id).state = QuoteState.DECLINED

    def note_question(self, quote_id: int, text: str) -> None:
        """Write down that a firm is asked something. Raises `QuoteUnclear` for an empty question."""
        if not text.strip():
            raise QuoteUnclear("there is no question yet", do="type what to ask")
        with self._project.action("Ask a firm") as work:
            quote = found_quote(work.session, quote_id)
            asked_on = today_of(work.session)
            quote.questions.append(m.QuoteQuestion(text=text.strip(), asked_on=asked_on))

    def answer_question(self, question_id: int, answer: str) -> None:
        with self._project.action("Note an answer") as work:
            row = work.session.get(m.QuoteQuestion, question_id)
            if row is None:
                raise QuoteGone("this question is no longer recorded", do="ask it again")
            row.answer, row.answered_on = answer.strip(), today_of(work.session)

    def accept(self, acceptance: Acceptance) -> int:
        """Sign: the quote becomes a contract, in one step. Returns the contract's id.

        Raises `NotYet` while a hold on signing blocks and no reason is given, and `QuoteUnclear`.
        """
        from retrofit_desk.services.quote_acceptance import accept_in

        with self._project.action("Accept a quote") as work:
            return accept_in(work, acceptance, self._tables())

    def message(self, request_id: int) -> str:
        """The request in plain words, the same for every firm, to copy into a letter."""
        from retrofit_desk.services.quote_message import request_message

        return request_message(self.sheet(request_id))

    def _tables(self) -> Tables:
        return tables_of(self._project)


def row_of(request: m.QuoteRequest) -> RequestRow:
    answered = [one for one in request.quotes if one.state not in (QuoteState.ASKED, QuoteState.NO_ANSWER)]
    accepted = [one.firm.name for one in request.quotes if one.state is QuoteState.ACCEPTED]
    return RequestRow(
        id=request.id,
        title=request.title,
        measure_id=request.measure_id,
        measure_title=request.measure.title,
        asked_on=request.asked_on,
        answer_by=request.answer_by,
        asked=len(request.quotes),
        answered=len(answered),
        undecided=sum(1 for one in request.quotes if one.state is QuoteState.RECEIVED),
        accepted_firm=accepted[0] if accepted else "",
    )


def found_request(session: Session, request_id: int) -> m.QuoteRequest:
    """Raises `QuoteGone`."""
    request = session.get(m.QuoteRequest, request_id)
    if request is None:
        raise QuoteGone("this request is no longer recorded", do="undo, or choose another one")
    return request


def found_quote(session: Session, quote_id: int) -> m.Quote:
    """Raises `QuoteGone`."""
    quote = session.get(m.Quote, quote_id)
    if quote is None:
        raise QuoteGone("this quote is no longer recorded", do="undo, or choose another one")
    return quote


def _requests(session: Session) -> list[m.QuoteRequest]:
    query = (
        select(m.QuoteRequest)
        .options(selectinload(m.QuoteRequest.quotes).selectinload(m.Quote.firm))
        .order_by(m.QuoteRequest.id)
    )
    return list(session.scalars(query))
