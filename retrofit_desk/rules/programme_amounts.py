"""The arithmetic of a programme: income tiers, shares, units, savings, caps from inner to outer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from retrofit_desk.rules.programme_file import (
    AmountKind,
    AtLimit,
    Cap,
    CapScope,
    DateTested,
    Installer,
    Reservation,
    SavingsTier,
    StepOrder,
    Version,
    WorkStep,
)
from retrofit_desk.values.quantity import percent_text


@dataclass(frozen=True)
class WorkItem:
    """One thing bought. `pieces`: doors, windows; `units`: tons, square feet, as the programme counts."""

    kind: str
    cost_cents: int
    pieces: int = 1
    units: Decimal | None = None


@dataclass(frozen=True)
class WorkDates:
    """The days a rule may test; none where not known or not yet."""

    placed_in_service: date | None = None
    installation_completed: date | None = None
    invoiced: date | None = None
    application_received: date | None = None
    acquired: date | None = None
    reservation_held: date | None = None
    reservation_ends: date | None = None
    signed: date | None = None
    work_started: date | None = None
    assessed: date | None = None

    def of_step(self, step: WorkStep) -> date | None:
        """The day on which a step was taken; none where it was not, or nobody noted it."""
        return {
            WorkStep.ASSESSMENT: self.assessed,
            WorkStep.APPLICATION: self.application_received,
            WorkStep.RESERVATION: self.reservation_held,
            WorkStep.SIGNING: self.signed,
            WorkStep.WORK: self.work_started,
            WorkStep.COMPLETION: self.installation_completed,
            WorkStep.INVOICE: self.invoiced,
        }[step]

    def is_broken(self, order: StepOrder) -> bool:
        """Whether the later step is known to have come first."""
        first, then = self.of_step(order.first), self.of_step(order.then)
        return first is not None and then is not None and then < first

    def tested(self, which: DateTested) -> date | None:
        """The day that a rule looks at."""
        return {
            DateTested.PLACED_IN_SERVICE: self.placed_in_service,
            DateTested.INSTALLATION_COMPLETED: self.installation_completed,
            DateTested.INVOICED: self.invoiced,
            DateTested.APPLICATION_RECEIVED: self.application_received,
            DateTested.ACQUIRED: self.acquired,
        }[which]

    def begun_on(self, reservation: Reservation) -> date | None:
        """The day of the first step that the reservation must come before: work, or signing where it asks."""
        signed = self.signed if reservation.before == "signing" else None
        return min((day for day in (signed, self.work_started) if day), default=None)

    def is_begun_unreserved(self, reservation: Reservation) -> bool:
        """Whether that step was taken before the reservation stood."""
        begun, held = self.begun_on(reservation), self.reservation_held
        return begun is not None and (held is None or begun < held)


@dataclass(frozen=True)
class WorkFacts:
    """What the record knows about the work and the household; none where unknown."""

    items: tuple[WorkItem, ...]
    dates: WorkDates = WorkDates()
    income_of_median: Decimal | None = None
    existing_fuel: str | None = None
    savings_share: Decimal | None = None
    saved_kwh: Decimal | None = None
    state_average_kwh: Decimal | None = None
    installer: Installer | None = None
    """`ANYONE`: the owner or a firm without license or listing."""
    products: tuple[tuple[str, bool], ...] = ()
    """What the rule asks of a product, and whether it is so; what nobody looked at is left out."""
    assumed: tuple[str, ...] = ()
    """What was taken from elsewhere for a fact that the office has not told yet, in words."""

    @property
    def kinds(self) -> frozenset[str]:
        return frozenset(item.kind for item in self.items)

    def product_is(self, asks: str) -> bool | None:
        return dict(self.products).get(asks)


def tier_share(version: Version, facts: WorkFacts) -> tuple[Decimal | None, str]:
    """The income tier's share, or why it cannot be told. Without tiers: none and no reason."""
    if not version.tiers:
        return None, ""
    income = facts.income_of_median
    if income is None:
        return None, "household income against the area's median is not known"
    for tier in sorted(version.tiers, key=lambda one: one.up_to_median):
        if income < tier.up_to_median or (income == tier.up_to_median and tier.at_limit is AtLimit.IN):
            return tier.share, ""
        if income == tier.up_to_median and tier.at_limit is AtLimit.CONFLICT:
            return None, f"at exactly {tier.up_to_median * 100:.0f}% of the median the sources disagree"
    return Decimal(0), ""


@dataclass(frozen=True)
class RuleAmount:
    """What a rule gives, with its caps and without. `dollars` none: `missing` says which fact is needed."""

    dollars: Decimal | None
    uncapped_dollars: Decimal = Decimal(0)
    binding: str = ""
    missing: str = ""
    refusal: str = ""
    """Why it gives nothing, where it does not."""


def rule_amount(
    version: Version, items: Sequence[WorkItem], tier_share: Decimal | None, facts: WorkFacts
) -> RuleAmount:
    """The amount by the rule's kind, caps from inner to outer, and the cap or rule that bound it."""
    rule = version.amount
    cost = Decimal(sum(item.cost_cents for item in items)) / 100
    if rule.kind is AmountKind.BY_SAVINGS:
        return _by_savings(version, cost, facts)
    if rule.kind is AmountKind.PER_KWH_SAVED:
        return _per_kwh(version, cost, facts)
    raw: list[tuple[WorkItem, Decimal]] = []
    for item in items:
        cost_of = Decimal(item.cost_cents) / 100
        if rule.kind is AmountKind.FLAT:
            each = min(rule.flat_dollars or Decimal(0), cost_of)
        elif rule.kind is AmountKind.PER_UNIT:
            if item.units is None:
                kind = item.kind.replace("_", " ")
                return RuleAmount(None, missing=f"how many {rule.unit} the {kind} has is not known")
            each = min((rule.per_unit_dollars or Decimal(0)) * item.units, cost_of)
        else:
            share = tier_share if tier_share is not None else (rule.share or Decimal(0))
            each = cost_of * share
        raw.append((item, each))
    amounts, binding = capped(version.caps, raw)
    uncapped = sum((each for _, each in raw), Decimal(0))
    return RuleAmount(sum(amounts, Decimal(0)), uncapped, binding or str(rule.kind))


def capped(caps: Sequence[Cap], raw: Sequence[tuple[WorkItem, Decimal]]) -> tuple[list[Decimal], str]:
    """Each amount after the caps, inner to outer; the outermost cap that cut is named."""
    amounts = [amount for _, amount in raw]
    binding = ""
    for scope in CapScope:
        for cap in (one for one in caps if one.scope is scope):
            touched = [at for at, (item, _) in enumerate(raw) if not cap.kinds or item.kind in cap.kinds]
            limits = [cap.dollars * (raw[at][0].pieces if scope is CapScope.PIECE else 1) for at in touched]
            if scope is CapScope.PIECE:
                for at, limit in zip(touched, limits, strict=True):
                    if amounts[at] > limit:
                        amounts[at], binding = limit, _cap_name(cap)
                continue
            total = sum((amounts[at] for at in touched), Decimal(0))
            if total > cap.dollars:
                binding = _cap_name(cap)
                for at in touched:
                    amounts[at] = amounts[at] * cap.dollars / total
    return amounts, binding


def cap_turns(caps: Sequence[Cap], years: Sequence[int | None]) -> Iterator[tuple[list[Cap], list[int]]]:
    """Yearly caps over the works of each year, by their places; then the other caps over all of them."""
    yearly = [cap for cap in caps if cap.each_year]
    for year in dict.fromkeys(years):
        yield yearly, [at for at, one in enumerate(years) if one == year]
    yield [cap for cap in caps if not cap.each_year], list(range(len(years)))


def _by_savings(version: Version, cost: Decimal, facts: WorkFacts) -> RuleAmount:
    rule = version.amount
    if facts.savings_share is None:
        return RuleAmount(None, missing="the modeled savings are not known")
    fitting = [tier for tier in rule.savings_tiers if facts.savings_share >= tier.from_savings]
    if not fitting:
        least = min(tier.from_savings for tier in rule.savings_tiers)
        return RuleAmount(Decimal(0), refusal=_too_little(facts.savings_share, least))
    low = _is_low_income(version, facts)
    if low is None:
        return RuleAmount(None, missing="household income against the area's median is not known")
    tier = max(fitting, key=lambda one: one.from_savings)
    share, amount = _tier_terms(tier, low)
    if cost * share < amount:
        return RuleAmount(cost * share, cost * share, f"{share * 100:.0f}% of the cost")
    return RuleAmount(amount, cost * share, f"the amount for savings from {tier.from_savings * 100:.0f}%")


def _per_kwh(version: Version, cost: Decimal, facts: WorkFacts) -> RuleAmount:
    rule = version.amount.measured
    low = _is_low_income(version, facts)
    needed = (
        (facts.saved_kwh, "the energy saved in a year"),
        (facts.savings_share, "the share of the energy saved"),
        (facts.state_average_kwh, "the average use of the state's homes"),
        (low, "household income against the area's median"),
    )
    missing = [words for fact, words in needed if fact is None]
    if rule is None or facts.saved_kwh is None or facts.savings_share is None or not facts.state_average_kwh:
        return RuleAmount(None, missing=_not_known(missing))
    if low is None:
        return RuleAmount(None, missing=_not_known(missing))
    if facts.savings_share < rule.from_savings:
        return RuleAmount(Decimal(0), refusal=_too_little(facts.savings_share, rule.from_savings))
    amount = rule.low_income_amount_dollars if low else rule.amount_dollars
    cap = (rule.low_income_cap_share if low else rule.cap_share) * cost
    paid = facts.saved_kwh * amount / (rule.of_average * facts.state_average_kwh)
    return RuleAmount(
        min(paid, cap), paid, "the share of the cost" if paid > cap else "the rate per kWh saved"
    )


def _too_little(saved: Decimal, least: Decimal) -> str:
    return f"savings of {percent_text(saved, 1)} are below {percent_text(least)}"


def _not_known(missing: Sequence[str]) -> str:
    *most, last = missing or ["the average use of the state's homes"]
    return f"{', '.join(most)} and {last} are not known" if most else f"{last} is not known"


def _tier_terms(tier: SavingsTier, low: bool) -> tuple[Decimal, Decimal]:
    if low:
        return tier.low_income_share, tier.low_income_amount_dollars
    return tier.share, tier.amount_dollars


def _is_low_income(version: Version, facts: WorkFacts) -> bool | None:
    limit = version.amount.low_income_below_median
    if limit is None:
        return False
    return None if facts.income_of_median is None else facts.income_of_median < limit


def _cap_name(cap: Cap) -> str:
    kinds = ", ".join(kind.replace("_", " ") for kind in cap.kinds)
    return cap.name or f"cap of ${cap.dollars:,.0f} for {kinds or 'everything'}"
