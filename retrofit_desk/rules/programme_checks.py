"""Each rule of a programme by itself: met, not met, or not known, and which fact is needed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, tier_share
from retrofit_desk.rules.programme_file import Funding, Installer, StepOrder, Version
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import percent_text


class Met(StrEnum):
    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class RuleCheck:
    """One rule. `why`: what decided it, or the fact that is needed."""

    rule: str
    met: Met
    why: str = ""

    @property
    def words(self) -> str:
        return f"{self.rule}: {self.met}{f' ({self.why})' if self.why else ''}"


def checks(version: Version, facts: WorkFacts, on: date) -> tuple[RuleCheck, ...]:
    """Every rule that this version has, in the order in which an office asks."""
    found = [_listed(version, facts), _dated(version, facts, on)]
    others = (_funded(version), _fuel(version, facts), _income(version, facts))
    found += [one for one in others if one is not None]
    found += [*_installers(version, facts), *_products(version, facts)]
    if version.reservation is not None:
        found.append(_order(version, facts, on))
    found += [_step_order(one, facts.dates) for one in version.order]
    return tuple(found)


def _listed(version: Version, facts: WorkFacts) -> RuleCheck:
    listed = any(item.kind in version.kinds for item in facts.items)
    return RuleCheck("work on its list", Met.YES if listed else Met.NO)


def _dated(version: Version, facts: WorkFacts, on: date) -> RuleCheck:
    day = facts.dates.tested(version.date_tested)
    begins, ends = version.starts_on, version.ends_on
    rule = f"{version.date_tested} from {day_text(begins)}" + (f" to {day_text(ends)}" if ends else "")
    if day is not None:
        inside = begins <= day and (ends is None or day <= ends)
        return RuleCheck(rule, Met.YES if inside else Met.NO, day_text(day))
    if ends is not None and on > ends:
        return RuleCheck(rule, Met.NO, "that day is past")
    return RuleCheck(rule, Met.UNKNOWN, "needs that day; the work is not so far")


def _funded(version: Version) -> RuleCheck | None:
    if version.funding is Funding.ENDED and version.ends_on is not None:
        return None  # its last day decides: work done by then is still paid
    as_of = f"{version.funding} as of {day_text(version.checked_on)}"
    met = {Funding.OPEN: Met.YES, Funding.UNKNOWN: Met.UNKNOWN}.get(version.funding, Met.NO)
    return RuleCheck("money left", met, as_of if met is not Met.UNKNOWN else "ask the office")


def _fuel(version: Version, facts: WorkFacts) -> RuleCheck | None:
    if not version.existing_fuels:
        return None
    rule = f"replaces {' or '.join(version.existing_fuels)}"
    if facts.existing_fuel is None:
        return RuleCheck(rule, Met.UNKNOWN, "needs the machine it replaces")
    return RuleCheck(
        rule, Met.YES if facts.existing_fuel in version.existing_fuels else Met.NO, facts.existing_fuel
    )


def _income(version: Version, facts: WorkFacts) -> RuleCheck | None:
    if not version.tiers:
        return None
    top = max(tier.up_to_median for tier in version.tiers)
    rule = f"income up to {percent_text(top)} of the area's median"
    share, missing = tier_share(version, facts)
    if missing:
        return RuleCheck(rule, Met.UNKNOWN, f"needs an answer: {missing}")
    income = percent_text(facts.income_of_median) if facts.income_of_median is not None else ""
    return RuleCheck(rule, Met.YES if share else Met.NO, income)


def _installers(version: Version, facts: WorkFacts) -> list[RuleCheck]:
    found = []
    for one in version.installers:
        touched = not one.kinds or any(item.kind in one.kinds for item in facts.items)
        if not touched or one.who is Installer.ANYONE:
            continue
        rule = f"installed by a {one.who}"
        if not one.is_confirmed:
            found.append(RuleCheck(rule, Met.UNKNOWN, "not confirmed; ask the office"))
        elif facts.installer is None:
            found.append(RuleCheck(rule, Met.UNKNOWN, "needs proof of the firm's license or listing"))
        else:
            fits = facts.installer.suffices_for(one.who)
            found.append(RuleCheck(rule, Met.YES if fits else Met.NO, str(facts.installer)))
    return found


def _products(version: Version, facts: WorkFacts) -> list[RuleCheck]:
    found = []
    for one in version.products_asked(facts.kinds):
        said = facts.product_is(one.asks)
        met = Met.UNKNOWN if said is None else Met.YES if said else Met.NO
        found.append(
            RuleCheck(f"product: {one.asks}", met, "needs the maker's sheet" if said is None else "")
        )
    return found


def _order(version: Version, facts: WorkFacts, on: date) -> RuleCheck:
    """A reservation in writing before work, or before signing, begins."""
    assert version.reservation is not None
    rule = f"reserved in writing before {version.reservation.before}"
    held, ends = facts.dates.reservation_held, facts.dates.reservation_ends
    begun = facts.dates.begun_on(version.reservation)
    if facts.dates.is_begun_unreserved(version.reservation):
        return RuleCheck(rule, Met.NO, f"begun {day_text(begun)}")
    if held is None:
        return RuleCheck(rule, Met.UNKNOWN, "needs the reservation; nothing is begun yet")
    if ends is not None and ends < on and begun is None:
        return RuleCheck(rule, Met.NO, f"ran out {day_text(ends)}")
    return RuleCheck(rule, Met.YES, f"held {day_text(held)}")


def _step_order(order: StepOrder, dates: WorkDates) -> RuleCheck:
    rule = f"{order.first} before {order.then}"
    first, then = dates.of_step(order.first), dates.of_step(order.then)
    if first is None:
        so_far = "nothing is late yet" if then is None else f"{order.then} {day_text(then)}"
        return RuleCheck(rule, Met.UNKNOWN, f"needs the day of the {order.first}; {so_far}")
    known = f"{order.first} {day_text(first)}"
    why = f"{known}, {order.then} {day_text(then)}" if then is not None else known
    return RuleCheck(rule, Met.NO if dates.is_broken(order) else Met.YES, why)
