"""Quotes: the same question to every firm, and what each really offers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.quote_checks import Point
from retrofit_desk.rules.quotes import LikeForLike, ScopeAnswer
from retrofit_desk.services.days import today_of
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

NOT_STATED_CENTS: StatedValue[int] = StatedValue(None, Stated.NOT_STATED)
NOT_STATED_NUMBER: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)
UNKNOWN_CENTS: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


class QuoteGone(DeskError):
    """A quote or request is asked for that is no longer recorded."""


class QuoteUnclear(DeskError):
    """A quote or request that cannot be recorded as it stands."""


@dataclass(frozen=True)
class RequestRow:
    """One line of the list of requests."""

    id: int
    title: str
    measure_id: int
    measure_title: str
    asked_on: date | None
    answer_by: date | None
    asked: int
    answered: int
    undecided: int
    """Answers that were neither accepted nor declined."""
    accepted_firm: str

    @property
    def is_closed(self) -> bool:
        """Every firm that answered was declined, and nobody else was asked."""
        return not self.accepted_firm and self.asked == self.answered > 0 and not self.undecided


@dataclass(frozen=True)
class ScopeRow:
    """One line asked for, and the owner's guess for a firm that leaves it out."""

    id: int
    text: str
    guess_cents: StatedValue[int]
    guess_source: str


@dataclass(frozen=True)
class LineRow:
    """What a firm says to one line. `scope_id` none: a line of its own.

    `guess_cents` is what the owner counts when the line is left out, `added_cents` what it adds to the bid.
    """

    id: int
    scope_id: int | None
    text: str
    answer: ScopeAnswer
    amount_cents: StatedValue[int]
    per_unit: str
    own_guess_cents: StatedValue[int]
    guess_cents: StatedValue[int]
    added_cents: int
    notes: str


@dataclass(frozen=True)
class LoadRow:
    """The design load that the firms were given, W and °C."""

    id: int
    name: str
    heating_w: float
    cooling_w: float | None
    at_heating_c: float
    method: str
    made_on: date


@dataclass(frozen=True)
class QuestionRow:
    id: int
    text: str
    answer: str
    asked_on: date | None
    answered_on: date | None


@dataclass(frozen=True)
class QuoteSheet:
    """One firm's answer with everything that follows from it today."""

    id: int
    firm_id: int
    firm: str
    state: QuoteState
    number: str
    quoted_on: date | None
    valid_until: date | None
    price_cents: StatedValue[int]
    tax_cents: StatedValue[int]
    deposit_cents: StatedValue[int]
    make: str
    model: str
    second_model: str
    match_number: str
    capacity_w: StatedValue[float]
    capacity_at_c: float | None
    firm_load_w: StatedValue[float]
    load_method: str
    based_on: str
    measured_on_site: bool | None
    warranty_parts_years: StatedValue[float]
    warranty_labor_years: StatedValue[float]
    start_on: date | None
    finish_on: date | None
    notes: str
    lines: tuple[LineRow, ...]
    like_for_like: LikeForLike
    capacity_percent: int | None
    """Of the load, where both are for the same temperature."""
    not_itemized_cents: int
    """Of the price, what no line accounts for; negative when the lines add up to more than the price."""
    points: tuple[Point, ...]
    sign_holds: tuple[str, ...]
    """Why signing must wait, in sentences."""
    questions: tuple[QuestionRow, ...]
    suggested: tuple[str, ...]
    """Questions that follow from the points and were not asked yet."""
    contract_id: int | None
    paper_id: int | None

    @property
    def product(self) -> str:
        return " ".join(part for part in (self.make, self.model, self.second_model) if part)

    @property
    def is_answered(self) -> bool:
        return self.state not in (QuoteState.ASKED, QuoteState.NO_ANSWER)

    @property
    def is_undecided(self) -> bool:
        return self.state is QuoteState.RECEIVED

    @property
    def may_be_accepted(self) -> bool:
        return self.price_cents.is_known and self.contract_id is None

    def line_for(self, scope_id: int) -> LineRow | None:
        """What this firm says to a line of the scope; none when it does not mention it."""
        return next((line for line in self.lines if line.scope_id == scope_id), None)


@dataclass(frozen=True)
class RequestSheet:
    """One request with all its answers."""

    row: RequestRow
    notes: str
    load: LoadRow | None
    scope: tuple[ScopeRow, ...]
    quotes: tuple[QuoteSheet, ...]


@dataclass(frozen=True)
class WrittenScope:
    """One line of a request as typed; `id` none for a new one."""

    text: str
    guess_cents: StatedValue[int] = UNKNOWN_CENTS
    guess_source: str = ""
    id: int | None = None


@dataclass(frozen=True)
class WrittenRequest:
    measure_id: int
    title: str
    asked_on: date | None
    answer_by: date | None
    design_load_id: int | None
    scope: tuple[WrittenScope, ...]
    notes: str = ""


@dataclass(frozen=True)
class WrittenLine:
    """A firm's answer to one line of the scope, or a line of its own (`scope_id` none)."""

    scope_id: int | None
    text: str
    answer: ScopeAnswer
    amount_cents: StatedValue[int] = NOT_STATED_CENTS
    guess_cents: StatedValue[int] = UNKNOWN_CENTS
    per_unit: str = ""


@dataclass(frozen=True)
class WrittenQuote:
    """A quote as the owner reads it off the paper."""

    firm_id: int
    quoted_on: date | None = None
    valid_until: date | None = None
    number: str = ""
    price_cents: StatedValue[int] = NOT_STATED_CENTS
    tax_cents: StatedValue[int] = NOT_STATED_CENTS
    deposit_cents: StatedValue[int] = NOT_STATED_CENTS
    make: str = ""
    model: str = ""
    second_model: str = ""
    match_number: str = ""
    capacity_w: StatedValue[float] = NOT_STATED_NUMBER
    capacity_at_c: float | None = None
    load_w: StatedValue[float] = NOT_STATED_NUMBER
    load_method: str = ""
    based_on: str = ""
    measured_on_site: bool | None = None
    warranty_parts_years: StatedValue[float] = NOT_STATED_NUMBER
    warranty_labor_years: StatedValue[float] = NOT_STATED_NUMBER
    start_on: date | None = None
    finish_on: date | None = None
    notes: str = ""
    lines: tuple[WrittenLine, ...] = ()
    paper: Path | None = None
    """The written quote itself, to be filed with it."""


@dataclass(frozen=True)
class WrittenStage:
    """A payment promised for a stage."""

    title: str
    amount_cents: int
    waits_for: str = ""
    due_on: date | None = None
    is_deposit: bool = False
    is_final: bool = False


@dataclass(frozen=True)
class Acceptance:
    """Signing a quote: the contract that it becomes."""

    quote_id: int
    signed_on: date
    number: str
    price_cents: int
    retainage_percent: float
    stages: tuple[WrittenStage, ...]
    reason: str = ""
    """Why the owner signs although something must be waited for."""
    decline_others: bool = True
    special_order_cents: StatedValue[int] = NOT_STATED_CENTS


@dataclass(frozen=True)
class RequestChoices:
    """What a new request may be for: (id, words)."""

    measures: tuple[tuple[int, str], ...]
    loads: tuple[tuple[int, str], ...]
    firms: tuple[tuple[int, str], ...]
    today: date


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

    def record_request(self, written: WrittenRequest, request_id: int | None = None) -> int:
        """Write a new request down, or change one. Lines that answers refer to are never dropped.

        Raises `QuoteUnclear`, `QuoteGone`.
        """
        from retrofit_desk.services.quote_entry import put_request

        with self._project.action("Ask for quotes" if request_id is None else "Change a request") as work:
            return put_request(work.session, written, request_id)

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
            return accept_in(work.session, acceptance, self._tables())

    def message(self, request_id: int) -> str:
        """The request in plain words, the same for every firm, to copy into a letter."""
        from retrofit_desk.services.quote_message import request_message

        return request_message(self.sheet(request_id))

    def _tables(self) -> Tables:
        return Tables(self._project.path / "tables")


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
