"""What the Money page shows and what is typed on it, as plain values in cents."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from retrofit_desk.money.ledger import CashPlan, Contingency, MeasureMoney, ProjectMoney
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.quote_values import NOT_STATED_CENTS, WrittenStage
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found
from retrofit_desk.values.stated import StatedValue


class MoneyGone(DeskError):
    """A contract, stage or payment is asked for that is no longer recorded."""


class PaymentUnclear(DeskError):
    """A payment, bill or waiver that cannot be recorded as it stands."""


@dataclass(frozen=True)
class ContractRow:
    """One contract's money, in cents. `total_cents`: price with the change orders signed by both."""

    id: int
    title: str
    firm: str
    state: ContractState
    signed_on: date | None
    price_cents: int
    changes_cents: int
    open_changes_cents: int
    total_cents: int
    paid_cents: int
    held_back_cents: int
    left_cents: int

    @property
    def is_going_on(self) -> bool:
        return self.state in (ContractState.DRAFT, ContractState.SIGNED)


@dataclass(frozen=True)
class StageRow:
    """A payment promised for a stage. `due_cents` is what may leave now: the bill or stage less retainage.

    `holds` are sentences of what it waits for, `waivers` the lien waivers that are missing, both empty when
    it may be paid; `gone_past` tells reasons for which it was paid all the same.
    """

    id: int
    title: str
    amount_cents: int
    due_cents: int
    retained_cents: int
    waits_for: str
    due_on: date | None
    is_deposit: bool
    is_final: bool
    invoice_id: int | None
    invoice_number: str
    paid_cents: int
    paid_on: date | None
    cleared_on: date | None
    holds: tuple[str, ...]
    waivers: tuple[str, ...]
    gone_past: tuple[str, ...]

    @property
    def is_paid(self) -> bool:
        """All of it; after a part of it the rest is still due."""
        return self.paid_on is not None and self.due_cents <= 0

    @property
    def may_be_paid(self) -> bool:
        return not self.is_paid and not self.holds and not self.waivers


@dataclass(frozen=True)
class ChangeRow:
    """A change order; `running_cents` is the price with it and all before it, signed or not."""

    id: int
    number: int
    on: date
    reason: str
    change_cents: int
    change_days: int
    running_cents: int
    signed_by_owner_on: date | None
    signed_by_firm_on: date | None
    measure: str
    changes_models: str

    @property
    def is_signed(self) -> bool:
        return self.signed_by_owner_on is not None and self.signed_by_firm_on is not None


@dataclass(frozen=True)
class InvoiceRow:
    """A bill; `points` say what does not agree with stage and contract."""

    id: int
    firm: str
    what: str
    number: str
    on: date
    due_on: date | None
    amount_cents: int
    retained_cents: int
    paid_cents: int
    points: tuple[str, ...]

    @property
    def open_cents(self) -> int:
        return self.amount_cents - self.retained_cents - self.paid_cents


@dataclass(frozen=True)
class PaymentRow:
    id: int
    on: date
    what: str
    amount_cents: int
    how: str
    cleared_on: date | None
    is_retainage: bool


@dataclass(frozen=True)
class WaiverRow:
    id: int
    party_id: int | None
    who: str
    kind: WaiverKind
    stage_id: int | None
    stage: str
    through_on: date | None
    amount_cents: StatedValue[int]
    exceptions: str
    signed_on: date | None
    received_on: date | None
    point: str = ""
    """What does not agree with the payment it is for."""

    @property
    def is_out(self) -> bool:
        """Asked for and not back yet."""
        return self.signed_on is None or self.received_on is None


@dataclass(frozen=True)
class PartyRow:
    """A firm in the chain; `can_claim`: it gave notice and no unconditional final waiver is in."""

    id: int
    name: str
    role: str
    notice_on: date | None
    last_work_on: date | None
    can_claim: bool


@dataclass(frozen=True)
class ContractSheet:
    """One contract with all its money."""

    row: ContractRow
    number: str
    start_on: date | None
    finish_on: date | None
    retainage_percent: float
    stages: tuple[StageRow, ...]
    changes: tuple[ChangeRow, ...]
    invoices: tuple[InvoiceRow, ...]
    payments: tuple[PaymentRow, ...]
    waivers: tuple[WaiverRow, ...]
    parties: tuple[PartyRow, ...]
    firm_can_claim: bool
    release_waits: tuple[str, ...]
    """What is missing before what is held back may be paid out."""
    measures: tuple[Found, ...]
    firm_id: int
    unstaged_cents: int
    notes: str
    cancel_until: date | None
    """Last day to cancel a sale made at home, while it has not passed."""
    deposit_point: str
    """Why the deposit is more than the state lets a firm ask for; empty when it is not."""


@dataclass(frozen=True)
class MeasureLine:
    """One measure's money, with its title."""

    measure_id: int
    title: str
    state: str
    money: MeasureMoney
    cost_high_cents: int | None
    """The upper end of the owner's costing, while nothing is committed."""


@dataclass(frozen=True)
class Budget:
    lines: tuple[MeasureLine, ...]
    project: ProjectMoney
    could_be_cents: int
    """Forecast with open change orders, the upper ends of what is not committed, and hazards not settled."""
    open_finds_cents: int
    """What hazards found and not settled may cost, as far as it was said; a part of `could_be_cents`."""
    contingency: Contingency
    meant_cents: StatedValue[int]
    """What the owner means to spend in all."""

    @property
    def may_come_cents(self) -> int:
        """What could still be added to the forecast."""
        return self.could_be_cents - self.project.forecast.known

    @property
    def is_short(self) -> bool:
        """Whether what may come is more than what is left of the money set aside."""
        left = self.contingency.left_cents.value
        return left is not None and (left < 0 or left < self.may_come_cents)


@dataclass(frozen=True)
class RebateRow:
    """A programme chosen for measures. `is_reserved`: in writing, today; `words`: how far it is.

    `measure_ids`: all it pays for, the first one first; `measure`: the same in words.
    """

    choice_id: int
    programme: str
    measure_ids: tuple[int, ...]
    measure: str
    expected_cents: StatedValue[int]
    reserved_cents: StatedValue[int]
    is_reserved: bool
    reserved_until: date | None
    claim_by: date | None
    asked_cents: StatedValue[int]
    received_cents: StatedValue[int]
    received_on: date | None
    words: str
    needs_owner: bool
    reservation: ReservationState | None
    """Of the latest one; none where nothing was asked for."""


@dataclass(frozen=True)
class DrawRow:
    id: int
    asked_on: date | None
    paid_on: date | None
    amount_cents: int
    for_what: str


@dataclass(frozen=True)
class LoanSheet:
    """A loan, its level payments and its yearly rate by Regulation Z, as shares."""

    id: int
    name: str
    lender: str
    principal_cents: int
    rate_percent: StatedValue[float]
    fees_cents: StatedValue[int]
    months: int | None
    first_payment_on: date | None
    draw_by: date | None
    drawn_cents: int
    left_to_draw_cents: int
    draws: tuple[DrawRow, ...]
    payment_cents: int | None
    total_interest_cents: int | None
    last_payment_cents: int | None
    apr_percent: StatedValue[float]
    apr_note: str


@dataclass(frozen=True)
class CashView:
    """Money by month, with what has no date yet; `today` parts what happened from what is planned."""

    plan: CashPlan
    today: date
    notes: tuple[str, ...]


@dataclass(frozen=True)
class WrittenPayment:
    """Money that leaves for a stage or a bill."""

    amount_cents: int
    on: date
    how: str = ""
    from_loan_id: int | None = None
    cleared_on: date | None = None
    paper: Path | None = None
    """A receipt, or the bank's own line."""
    reason: str = ""
    """Why it is paid although something must be waited for."""


@dataclass(frozen=True)
class WrittenBudget:
    """What the owner means to spend in all, and how much of the budget is set aside for surprises."""

    meant_cents: StatedValue[int]
    contingency_percent: StatedValue[float]


@dataclass(frozen=True)
class WrittenInvoice:
    firm_id: int | None
    """None: the firm of the contract."""
    on: date
    amount_cents: int
    contract_id: int | None = None
    stage_id: int | None = None
    measure_id: int | None = None
    number: str = ""
    due_on: date | None = None
    retained_cents: int | None = 0
    """None: what the contract lets the owner hold back."""
    equipment_cents: StatedValue[int] = NOT_STATED_CENTS
    labor_cents: StatedValue[int] = NOT_STATED_CENTS
    tax_cents: StatedValue[int] = NOT_STATED_CENTS
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenWaiver:
    """A lien waiver; `party_id` none: from the firm under contract."""

    kind: WaiverKind
    party_id: int | None
    stage_id: int | None
    through_on: date | None
    amount_cents: StatedValue[int]
    signed_on: date | None
    received_on: date | None
    exceptions: str = ""
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenChange:
    on: date
    reason: str
    change_cents: int
    change_days: int = 0
    measure_id: int | None = None
    changes_models: str = ""
    signed_by_owner_on: date | None = None
    signed_by_firm_on: date | None = None
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenContract:
    """A contract without a quote before it."""

    firm_id: int
    measure_id: int
    title: str
    number: str
    signed_on: date | None
    price_cents: int
    retainage_percent: float
    stages: tuple[WrittenStage, ...]
    paper: Path | None = None
    usual_holds: tuple[str, ...] = ()
    """Keys of the usual holds that the work gets with it."""


@dataclass(frozen=True)
class MoneyChoices:
    """What forms of this page choose from: (id, words)."""

    firms: tuple[tuple[int, str], ...]
    measures: tuple[tuple[int, str], ...]
    loans: tuple[tuple[int, str], ...]
    today: date
