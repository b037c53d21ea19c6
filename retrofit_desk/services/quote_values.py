"""What the Quotes page shows and what is typed on it, as plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.rules.quote_checks import Point
from retrofit_desk.rules.quotes import LikeForLike, ScopeAnswer
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
    signed_with: str
    """The firm that another quote for the same work is signed with; empty while nobody is."""
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
        return self.price_cents.is_known and self.contract_id is None and not self.signed_with

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
    paper: Path | None = None
    """The signed contract itself, to be filed with it."""
    special_order_cents: StatedValue[int] = NOT_STATED_CENTS
    usual_holds: tuple[str, ...] = ()
    """Keys of the usual holds that the work gets with it."""


@dataclass(frozen=True)
class RequestChoices:
    """What a new request may be for: (id, words)."""

    measures: tuple[tuple[int, str], ...]
    loads: tuple[tuple[int, str], ...]
    firms: tuple[tuple[int, str], ...]
    today: date
