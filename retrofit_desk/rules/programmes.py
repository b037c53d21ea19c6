"""What a programme pays for a piece of work: the rule, the cap and the date that bind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from retrofit_desk.money.rounding import to_cents
from retrofit_desk.rules.programme_amounts import RuleAmount, WorkDates, WorkFacts, rule_amount, tier_share
from retrofit_desk.rules.programme_file import DateTested, Funding, Installer, Programme, Version
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.stated import Stated, StatedValue


class ProgrammeStatus(StrEnum):
    PAYS = "pays"
    WAITS = "waits for something"
    NOT_COVERED = "not covered"
    NOT_YET = "not yet in force"
    ENDED = "ended"
    LOST = "lost"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class ProgrammeAnswer:
    """What a programme pays, and why. `binding`: the cap or rule that decided the amount."""

    programme_key: str
    name: str
    status: ProgrammeStatus
    amount_cents: StatedValue[int]
    binding: str
    date_tested: DateTested | None
    tested_on: date | None
    version: Version | None
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]
    is_reserved: bool = False
    cap_takes_cents: int = 0
    """What the cap takes off; zero where none cuts."""

    @property
    def may_pay(self) -> bool:
        """Pays, or would once something is in; what is unknown may pay too."""
        return self.status in (ProgrammeStatus.PAYS, ProgrammeStatus.WAITS, ProgrammeStatus.UNKNOWN)

    @property
    def sentence(self) -> str:
        why = "; ".join(self.reasons)
        return f"{self.name}: {self.status}{f' ({why})' if why else ''}."


def evaluate(programme: Programme, facts: WorkFacts, on: date) -> ProgrammeAnswer:
    """What `programme` pays as seen on the day `on`. Work not yet done is tested as if done that day."""
    version, day, assumed = _version_for(programme, facts, on)
    if version is None:
        return _outside(programme, facts, on)
    warnings = [*_warnings(version, day, facts), *assumed]
    refusal = _refusal(version, facts)
    if refusal is not None:
        status, reason = refusal
        return _answer(programme, version, day, status, _zero(), reason, [reason], warnings, facts)
    items = tuple(item for item in facts.items if item.kind in version.kinds)
    share, share_reason = tier_share(version, facts)
    if share_reason:
        return _answer(
            programme, version, day, ProgrammeStatus.UNKNOWN, _unknown(), "", [share_reason], warnings, facts
        )
    found = (
        RuleAmount(Decimal(0), refusal="household income is above the limit")
        if share == 0
        else rule_amount(version, items, share, facts)
    )
    if found.dollars is None:
        missing = [found.missing]
        return _answer(
            programme, version, day, ProgrammeStatus.UNKNOWN, _unknown(), "", missing, warnings, facts
        )
    if found.refusal:
        why = found.refusal
        refused = ProgrammeStatus.NOT_COVERED
        return _answer(programme, version, day, refused, _zero(), why, [why], warnings, facts)
    status, waits = _waiting(version, facts, on)
    if _asks_for_funding(version) and not _reserved(facts, on) and status is ProgrammeStatus.PAYS:
        waits = [f"funding that is {version.funding} as of {day_text(version.checked_on)}"]
        status = ProgrammeStatus.WAITS
    cents = to_cents(found.dollars)
    answer = _answer(
        programme, version, day, status, StatedValue(cents), found.binding, waits, warnings, facts
    )
    return replace(answer, cap_takes_cents=max(to_cents(found.uncapped_dollars) - cents, 0))


def claim_by(version: Version, tested_on: date | None) -> date | None:
    """The last day to send the claim; none while the work is not done or the rule names none."""
    if tested_on is None or version.claim_within_days is None:
        return None
    return tested_on + timedelta(days=version.claim_within_days)


def _version_for(programme: Programme, facts: WorkFacts, on: date) -> tuple[Version | None, date, list[str]]:
    newest = max(programme.versions, key=lambda one: one.starts_on)
    day = facts.dates.tested(newest.date_tested)
    assumed = (
        [] if day else [f"taken as {newest.date_tested} on {day_text(on)}, for that day is not known yet"]
    )
    return programme.version_on(day or on), day or on, assumed


def _outside(programme: Programme, facts: WorkFacts, on: date) -> ProgrammeAnswer:
    newest = max(programme.versions, key=lambda one: one.starts_on)
    done = facts.dates.tested(newest.date_tested)
    day = done or on
    last_end = max((one.ends_on for one in programme.versions if one.ends_on), default=None)
    if last_end is not None and day > last_end:
        status, when = ProgrammeStatus.ENDED, f"ended {day_text(last_end)}"
    else:
        status, when = ProgrammeStatus.NOT_YET, f"no rule covers {day_text(day)}"
    taken = "" if done else ", if it were today"
    reason = f"{when}; the day that counts: {newest.date_tested} {day_text(day)}{taken}"
    return _answer(programme, newest, day, status, _zero(), reason, [reason], [], facts)


def _refusal(version: Version, facts: WorkFacts) -> tuple[ProgrammeStatus, str] | None:
    if not any(item.kind in version.kinds for item in facts.items):
        return ProgrammeStatus.NOT_COVERED, "this work is not on its list"
    if version.existing_fuels and facts.existing_fuel and facts.existing_fuel not in version.existing_fuels:
        reason = version.fuel_reason or f"replacing {facts.existing_fuel} is not covered"
        return ProgrammeStatus.NOT_COVERED, reason
    if early := _too_early(version, facts.dates):
        return ProgrammeStatus.LOST, early
    for rule in version.installers:
        touched = [item for item in facts.items if not rule.kinds or item.kind in rule.kinds]
        if touched and rule.is_confirmed and facts.installer and not facts.installer.suffices_for(rule.who):
            return ProgrammeStatus.NOT_COVERED, f"must be installed by a {rule.who}"
    unfit = [one.asks for one in version.products_asked(facts.kinds) if facts.product_is(one.asks) is False]
    if unfit:
        return ProgrammeStatus.NOT_COVERED, f"the product is not what it asks for: {' and '.join(unfit)}"
    return None


def _too_early(version: Version, dates: WorkDates) -> str:
    """What was done before what it asks for first; empty for nothing."""
    if version.reservation and dates.is_begun_unreserved(version.reservation):
        return f"begun {day_text(dates.begun_on(version.reservation))} without a reservation that stands"
    told = (
        f"{order.then} {day_text(dates.of_step(order.then))} came before "
        f"{order.first} {day_text(dates.of_step(order.first))}"
        for order in version.order
        if dates.is_broken(order)
    )
    return "; ".join(told)


def _waiting(version: Version, facts: WorkFacts, on: date) -> tuple[ProgrammeStatus, list[str]]:
    if version.reservation is None or _reserved(facts, on):
        return ProgrammeStatus.PAYS, []
    ends = facts.dates.reservation_ends
    if facts.dates.reservation_held and ends and ends < on:
        return ProgrammeStatus.WAITS, [f"the reservation ran out {day_text(ends)}"]
    return ProgrammeStatus.WAITS, [f"a written reservation before {version.reservation.before}"]


def _asks_for_funding(version: Version) -> bool:
    """Of a programme that ended on a day, work done by that day is still paid."""
    over = version.funding is Funding.ENDED and version.ends_on is not None
    return version.funding is not Funding.OPEN and not over


def _reserved(facts: WorkFacts, on: date) -> bool:
    held, ends = facts.dates.reservation_held, facts.dates.reservation_ends
    return held is not None and held <= on and (ends is None or on <= ends)


def _warnings(version: Version, day: date, facts: WorkFacts) -> list[str]:
    found: list[str] = []
    if day > version.checked_on:
        found.append(f"the rule was last checked {day_text(version.checked_on)} and may have changed since")
    if version.existing_fuels and facts.existing_fuel is None:
        found.append(f"only what replaces {' or '.join(version.existing_fuels)} is covered")
    for rule in version.installers:
        touched = not rule.kinds or any(item.kind in rule.kinds for item in facts.items)
        if (
            touched
            and (facts.installer is None or not rule.is_confirmed)
            and rule.who is not Installer.ANYONE
        ):
            sure = "" if rule.is_confirmed else " (not confirmed; ask the state's office)"
            found.append(f"may have to be installed by a {rule.who}{sure}")
    for one in version.products_asked(facts.kinds):
        if facts.product_is(one.asks) is None:
            found.append(f"whether the product is what it asks for is not known: {one.asks}")
    found += facts.assumed
    return [*found, version.note] if version.note else found


def _answer(
    programme: Programme,
    version: Version,
    day: date,
    status: ProgrammeStatus,
    amount: StatedValue[int],
    binding: str,
    reasons: Sequence[str],
    warnings: Sequence[str],
    facts: WorkFacts,
) -> ProgrammeAnswer:
    return ProgrammeAnswer(
        programme.key,
        programme.name,
        status,
        amount,
        binding,
        version.date_tested,
        day,
        version,
        tuple(reasons),
        tuple(warnings),
        _reserved(facts, day),
    )


def _zero() -> StatedValue[int]:
    return StatedValue(0)


def _unknown() -> StatedValue[int]:
    return StatedValue(None, Stated.UNKNOWN)
