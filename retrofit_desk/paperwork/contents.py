"""Everything a packet can show, as plain frozen values; whoever knows the record fills them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

from retrofit_desk.rules.matching import Readiness
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.place import Place
from retrofit_desk.values.quantity import Dimension, Units
from retrofit_desk.values.stated import StatedValue


class PacketKind(StrEnum):
    """One packet per reader."""

    REBATE = "rebate"
    LENDER = "lender"
    CONTRACTOR = "contractor"
    INSPECTOR = "inspector"
    NEXT_OWNER = "next owner"


class Private(StrEnum):
    """What a reader may have no business seeing."""

    INCOME = "income"
    ACCOUNT = "account numbers"
    PRICES = "prices and payments"
    GEOTAG = "where a photo was taken"
    CONTACT = "phone and e-mail"


@dataclass(frozen=True)
class Party:
    """A person or firm as written on a cover; empty parts are left out."""

    name: str
    organization: str = ""
    address: str = ""
    contact: str = ""


@dataclass(frozen=True)
class Cover:
    kind: PacketKind
    reader: Party
    owner: Party
    project: str
    address: str
    made_on: date
    purpose: str
    reference: str = ""
    """Claim, loan or permit number that the reader files it under."""
    accounts: tuple[str, ...] = ()
    """Utility accounts; withheld from readers who need none."""


@dataclass(frozen=True)
class ReadinessLine:
    """One thing the packet needs. `found` says what was seen, `do` what would make it right."""

    need: str
    word: Readiness
    found: str = ""
    do: str = ""
    place: Place | None = None
    """Where in the window it is dealt with."""

    @property
    def told(self) -> tuple[str, ...]:
        """What was seen and what to do, to be read below one another; what is open ends in a period."""
        found = f"{self.found[:1].upper()}{self.found[1:]}"
        if found and self.word is not Readiness.HAVE and not found.endswith("."):
            found += "."
        return tuple(part for part in (found, self.do) if part)


@dataclass(frozen=True)
class QuantityLine:
    """A number in the SI unit of its dimension, before and after the works."""

    name: str
    dimension: Dimension
    before: StatedValue[float]
    after: StatedValue[float]
    source: str = ""


@dataclass(frozen=True)
class ElementLine:
    """A wall, roof, floor or window before and after. U-values in W/(m2 K), SHGC as a share or empty."""

    where: str
    area_m2: float
    made_of_before: str
    made_of_after: str
    u_before_w_m2k: StatedValue[float]
    u_after_w_m2k: StatedValue[float]
    shgc_before: StatedValue[float] | None = None
    shgc_after: StatedValue[float] | None = None


@dataclass(frozen=True)
class MachineLine:
    """A machine that stays, goes or comes; empty text means there is none."""

    what_for: str
    before: str
    after: str


@dataclass(frozen=True)
class LeakageLine:
    """One blower-door test: flow at 50 Pa in m3/s, air changes per hour at 50 Pa."""

    tested_on: date
    house_was: str
    flow_50pa_m3_s: float
    ach50: StatedValue[float]
    by: str


@dataclass(frozen=True)
class HousePart:
    """The house before and after. `after_is` says which after is meant ("as planned", "as built on ...")."""

    year_built: StatedValue[int]
    stories: str
    after_is: str
    quantities: tuple[QuantityLine, ...] = ()
    elements: tuple[ElementLine, ...] = ()
    machines: tuple[MachineLine, ...] = ()
    leakage: tuple[LeakageLine, ...] = ()


@dataclass(frozen=True)
class InstalledLine:
    """A product as fitted. `serial` may be unknown, not stated, or excluded where a product has none."""

    product: str
    make: str
    model: str
    serial: StatedValue[str]
    quantity: str = ""


@dataclass(frozen=True)
class SettingLine:
    name: str
    value: str


@dataclass(frozen=True)
class TestLine:
    """A commissioning test in words; `passed` is None while it is incomplete."""

    name: str
    value: str
    limits: str
    tested_on: date | None
    by: str
    passed: bool | None
    source: str = ""


@dataclass(frozen=True)
class MeasurePart:
    """One measure: what was meant, what was fitted, who, when, and what is still open."""

    title: str
    state: str
    where: str
    scope: str
    done_by: str
    license: StatedValue[str] | None
    """None: nobody who needs one."""
    installed_on: date | None
    cost_cents: StatedValue[int] | None
    """None: not for this reader."""
    items: tuple[InstalledLine, ...] = ()
    settings: tuple[SettingLine, ...] = ()
    tests: tuple[TestLine, ...] = ()
    change_from_plan: str = ""
    still_open: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()


@dataclass(frozen=True)
class NamedFigure:
    """A headline figure. `dimension` says how its SI value is shown; None shows the figure's own unit."""

    name: str
    figure: Figure
    dimension: Dimension | None = None
    note: str = ""


@dataclass(frozen=True)
class MonthOfFuel:
    """One month of a typical year, delivered energy in kWh."""

    month: int
    gas_before_kwh: float
    gas_after_kwh: float
    electricity_before_kwh: float
    electricity_after_kwh: float


@dataclass(frozen=True)
class LineUpStep:
    """A measure at its place in the line-up. `saved_cents` per year; figures carry their range."""

    title: str
    state: str
    fuel_removed: Figure
    electricity_added: Figure
    saved_cents: Figure
    cost_cents: StatedValue[int] | None
    """None: not for this reader."""


@dataclass(frozen=True)
class CashMonth:
    """A month of the first year, in cents. `payment_cents`: of the loan, none without one."""

    month: int
    before_cents: int
    after_cents: int
    payment_cents: int | None

    @property
    def left_cents(self) -> int:
        """What the bills save, less the loan's payment."""
        return self.before_cents - self.after_cents - (self.payment_cents or 0)


@dataclass(frozen=True)
class YearsPart:
    """The whole line-up over the study period: figures as (name, figure, note), cash by month, how."""

    figures: tuple[tuple[str, str, str], ...]
    months: tuple[CashMonth, ...]
    how: tuple[str, ...]


@dataclass(frozen=True)
class SavingsPart:
    """A savings sum with its method. `made_on` is the day it was worked out."""

    made_on: date
    method: tuple[str, ...]
    is_out_of_date: bool
    fingerprint: str
    headline: tuple[NamedFigure, ...] = ()
    months: tuple[MonthOfFuel, ...] = ()
    steps: tuple[LineUpStep, ...] = ()
    years: YearsPart | None = None
    fuel: Dimension = Dimension.GAS
    """How fuel burned is shown."""


@dataclass(frozen=True)
class ContractLine:
    """A contract to the cent. `retained_cents` is held back until the end."""

    firm: str
    what_for: str
    signed_on: date | None
    price_cents: StatedValue[int]
    changes_cents: int
    paid_cents: int
    retained_cents: int


@dataclass(frozen=True)
class PaymentLine:
    paid_on: date
    to: str
    what_for: str
    amount_cents: int
    against: str
    """The evidence it was paid against: invoice, waiver, test."""


@dataclass(frozen=True)
class RebateLine:
    programme: str
    measure: str
    amount_cents: StatedValue[int]
    status: str
    reserved_until: date | None
    claim_by: date | None
    source: str


@dataclass(frozen=True)
class LoanLine:
    lender: str
    amount_cents: StatedValue[int]
    drawn_cents: int
    rate_percent: StatedValue[str]
    apr_percent: StatedValue[str]
    terms: str


@dataclass(frozen=True)
class MoneyPart:
    contracts: tuple[ContractLine, ...] = ()
    payments: tuple[PaymentLine, ...] = ()
    rebates: tuple[RebateLine, ...] = ()
    loans: tuple[LoanLine, ...] = ()
    surprises: tuple[str, ...] = ()
    """What is set aside for them, what took from it and what is left, a sentence each."""


@dataclass(frozen=True)
class InspectionLine:
    name: str
    visit_on: date | None
    result: str
    open_corrections: tuple[str, ...] = ()
    closed_corrections: tuple[str, ...] = ()


@dataclass(frozen=True)
class PermitLine:
    kind: str
    number: StatedValue[str]
    authority: str
    covers: str
    state: str
    issued_on: date | None
    runs_out_on: date | None
    inspections: tuple[InspectionLine, ...] = ()


@dataclass(frozen=True)
class OverrideLine:
    """A hold somebody went past. It stands in every packet, whoever reads it."""

    hold: str
    missing: str
    reason: str
    by: str
    on: date
    """When the reason was given."""
    step_on: date | None = None
    """When the step was done, where it was."""


@dataclass(frozen=True)
class ScopeLine:
    text: str
    note: str = ""


@dataclass(frozen=True)
class RequestPart:
    """The same question to every firm: what is asked for and what the answer must state."""

    measure: str
    answer_by: date | None
    load_heating_w: StatedValue[float]
    load_at_c: StatedValue[float]
    load_based_on: str
    scope: tuple[ScopeLine, ...] = ()
    to_state: tuple[str, ...] = ()


@dataclass(frozen=True)
class VisitPart:
    """What an inspector comes to see, and what must lie ready."""

    inspection: str
    permit: str
    on: date | None
    window: str
    ready: tuple[ReadinessLine, ...] = ()
    checklist: tuple[str, ...] = ()
    """What to walk through before the inspector comes."""
    earlier_corrections: tuple[str, ...] = ()


@dataclass(frozen=True)
class PaperItem:
    """A filed paper to be merged behind. `private` names what in it some readers must not get."""

    path: Path
    title: str
    kind: str
    sha256: str
    dated_on: date | None = None
    about: str = ""
    private: frozenset[Private] = frozenset()
    geotag: str = ""
    """Latitude and longitude in words, printed only for readers who ask for it."""
    taken_at: datetime | None = None


@dataclass(frozen=True)
class CautionLine:
    subject: str
    text: str


@dataclass(frozen=True)
class SourceLine:
    what: str
    source: str
    as_of: date | None


@dataclass(frozen=True)
class PacketContents:
    """All that one packet says. Parts that a kind of packet does not show may stay empty."""

    cover: Cover
    units: Units = Units.US
    readiness: tuple[ReadinessLine, ...] = ()
    house: HousePart | None = None
    request: RequestPart | None = None
    visit: VisitPart | None = None
    measures: tuple[MeasurePart, ...] = ()
    savings: SavingsPart | None = None
    money: MoneyPart | None = None
    permits: tuple[PermitLine, ...] = ()
    overrides: tuple[OverrideLine, ...] = ()
    cautions: tuple[CautionLine, ...] = ()
    sources: tuple[SourceLine, ...] = ()
    papers: tuple[PaperItem, ...] = ()
    left_out: tuple[str, ...] = field(default=())
    """Papers withheld on purpose, each with the reason; filled by `redaction.redacted`."""
