"""The shape of a programme's dated rule file: versions, tests, amounts, caps, papers."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from retrofit_desk.rules.matching import FactKind


class Funding(StrEnum):
    OPEN = "open"
    WAITING_LIST = "waiting list"
    FULLY_RESERVED = "fully reserved"
    PAUSED = "paused"
    ENDED = "ended"
    UNKNOWN = "unknown"


class DateTested(StrEnum):
    """Which day of the work a rule looks at; it differs by programme."""

    PLACED_IN_SERVICE = "placed in service"
    INSTALLATION_COMPLETED = "installation completed"
    INVOICED = "invoiced"
    APPLICATION_RECEIVED = "application received"
    ACQUIRED = "acquired"


class WorkStep(StrEnum):
    """What a programme may ask to come before something else."""

    ASSESSMENT = "assessment"
    APPLICATION = "application"
    RESERVATION = "reservation"
    SIGNING = "signing"
    WORK = "work"
    COMPLETION = "completion"
    INVOICE = "invoice"


class AmountKind(StrEnum):
    SHARE_OF_COST = "share of cost"
    PER_UNIT = "per unit"
    FLAT = "flat"
    BY_SAVINGS = "by savings"
    PER_KWH_SAVED = "per kWh saved"


class CapScope(StrEnum):
    """Caps are applied in this order, inner to outer."""

    PIECE = "piece"
    KIND = "kind"
    GROUP = "group"
    ALL = "all"


class AtLimit(StrEnum):
    """Whether an income exactly at the limit is still in; where sources disagree nothing is decided."""

    IN = "in"
    OUT = "out"
    CONFLICT = "sources disagree"


class TaxTreatment(StrEnum):
    """What a payment is to the income tax; a tax adviser decides."""

    CREDIT = "credit against income tax"
    LOWERS_PRICE = "lowers the price, no income"
    INCOME = "counts as income"
    UNKNOWN = "unknown"


INVENTED = "invented"
"""How the confidence begins of a rule that no office made."""

ALL_OTHERS = "all others"
"""In `taken_after`: every programme that does not say the same of itself."""


class Installer(StrEnum):
    LISTED = "listed contractor"
    LICENSED = "licensed contractor"
    ANYONE = "anyone"

    def suffices_for(self, asked: Installer) -> bool:
        """Whether this installer is one of those that a rule asks for."""
        ranks = list(Installer)  # each may do what those after it may
        return ranks.index(self) <= ranks.index(asked)


def _exact(value: object) -> object:
    """TOML has floats; a price read as 0.3 means three tenths."""
    return Decimal(str(value)) if isinstance(value, (int, float)) else value


Exact = Annotated[Decimal, BeforeValidator(_exact)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class RuleSource(_Part):
    title: str
    section: str = ""
    edition: str = ""
    retrieved: date
    confidence: str


class Tier(_Part):
    """Households up to a share of the area's median income, and the share of cost they get back."""

    up_to_median: Exact
    at_limit: AtLimit = AtLimit.IN
    share: Exact


class SavingsTier(_Part):
    """A step of the modeled savings; the lower of the share of cost and the amount."""

    from_savings: Exact
    share: Exact
    amount_dollars: Exact
    low_income_share: Exact
    low_income_amount_dollars: Exact


class Measured(_Part):
    """Paid for measured savings: the full amount at `of_average` of the state's average home."""

    from_savings: Exact
    of_average: Exact
    amount_dollars: Exact
    cap_share: Exact
    low_income_amount_dollars: Exact
    low_income_cap_share: Exact


class Amount(_Part):
    kind: AmountKind
    share: Exact | None = None
    per_unit_dollars: Exact | None = None
    unit: str = ""
    flat_dollars: Exact | None = None
    savings_tiers: tuple[SavingsTier, ...] = ()
    measured: Measured | None = None
    low_income_below_median: Exact | None = None

    @model_validator(mode="after")
    def _has_what_its_kind_needs(self) -> Amount:
        needed = {
            AmountKind.PER_UNIT: self.per_unit_dollars,
            AmountKind.FLAT: self.flat_dollars,
            AmountKind.BY_SAVINGS: self.savings_tiers or None,
            AmountKind.PER_KWH_SAVED: self.measured,
        }
        if self.kind in needed and needed[self.kind] is None:
            raise ValueError(f"an amount {self.kind} lacks its numbers")
        return self


class Cap(_Part):
    """`kinds` empty: all kinds."""

    scope: CapScope
    dollars: Exact
    kinds: tuple[str, ...] = ()
    name: str = ""
    each_year: bool = False
    """It counts anew for each calendar year, by the day that the rule tests."""


class Reservation(_Part):
    """Must be held before work starts. Days none: not known."""

    valid_days: int | None = None
    valid_until: date | None = None
    before: str = "work"
    """What it must come before: "signing" or "work"."""


class StepOrder(_Part):
    """Two steps of the work in the order that the programme asks for; both on one day are in order."""

    first: WorkStep
    then: WorkStep

    @model_validator(mode="after")
    def _is_of_two(self) -> StepOrder:
        if self.first is self.then:
            raise ValueError(f"{self.first} cannot come before itself")
        return self


class InstallerRule(_Part):
    who: Installer
    kinds: tuple[str, ...] = ()
    is_confirmed: bool = True


class ProductRule(_Part):
    """What the product itself must be: `asks` in the rule's words. The owner says whether it is."""

    asks: str
    kinds: tuple[str, ...] = ()


class Document(_Part):
    """A paper or field of the claim. `after_install` false: it must exist before work starts."""

    key: str
    label: str
    papers: tuple[str, ...] = ()
    """Kinds of filed papers, any of which answers it; empty: a statement on the claim itself."""
    kinds: tuple[str, ...] = ()
    after_install: bool = True
    must_match: tuple[FactKind, ...] = ()
    max_age_days: int | None = None


class Tax(_Part):
    treatment: TaxTreatment = TaxTreatment.UNKNOWN
    note: str = ""
    """What follows from it, with its source."""


class Version(_Part):
    """The rule as it stood from one day to another; both days count."""

    starts_on: date
    ends_on: date | None = None
    checked_on: date
    funding: Funding = Funding.UNKNOWN
    date_tested: DateTested
    source: RuleSource
    kinds: tuple[str, ...]
    amount: Amount
    tiers: tuple[Tier, ...] = ()
    caps: tuple[Cap, ...] = ()
    existing_fuels: tuple[str, ...] = ()
    """Empty: any. Otherwise only what replaces one of these."""
    fuel_reason: str = ""
    reservation: Reservation | None = None
    order: tuple[StepOrder, ...] = ()
    """Other steps that must come one before the other, such as an assessment before signing."""
    claim_within_days: int | None = None
    appeal_within_days: int | None = None
    installers: tuple[InstallerRule, ...] = ()
    products: tuple[ProductRule, ...] = ()
    not_together_with: tuple[str, ...] = ()
    """Programmes that may not pay for the same upgrade."""
    taken_after: tuple[str, ...] = ()
    """Programmes whose money lowers the cost that this one counts: their keys, or "all others"."""
    total_share_of_cost: Exact | None = None
    """All programmes for the work together pay no more than this share of its cost; never more than it."""
    tax: Tax = Tax()
    documents: tuple[Document, ...] = ()
    note: str = ""

    @property
    def asks_assessment(self) -> bool:
        """Whether an assessment has its place in the order of steps."""
        return any(WorkStep.ASSESSMENT in (one.first, one.then) for one in self.order)

    def products_asked(self, kinds: Collection[str]) -> tuple[ProductRule, ...]:
        """What it asks of the products of work of these kinds."""
        return tuple(one for one in self.products if not one.kinds or not set(kinds).isdisjoint(one.kinds))

    @model_validator(mode="after")
    def _says_which_share(self) -> Version:
        if self.amount.kind is AmountKind.SHARE_OF_COST and self.amount.share is None and not self.tiers:
            raise ValueError("a share of cost needs its share or income tiers")
        return self


class Programme(_Part):
    """One programme with all its versions, oldest first."""

    key: str
    name: str
    office: str
    is_federal: bool = False
    versions: Annotated[tuple[Version, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _is_not_its_own_other(self) -> Programme:
        for one in self.versions:
            if self.key in (*one.taken_after, *one.not_together_with):
                raise ValueError(f"“{self.key}” cannot come after itself or be kept apart from itself")
        return self

    @property
    def is_invented(self) -> bool:
        """Made up for a sample house: its source says so."""
        return any(one.source.confidence.startswith(INVENTED) for one in self.versions)

    def version_on(self, day: date) -> Version | None:
        """The version that covers the day, the later one where two do."""
        fitting = [
            one
            for one in self.versions
            if one.starts_on <= day and (one.ends_on is None or day <= one.ends_on)
        ]
        return max(fitting, key=lambda one: one.starts_on, default=None)
