"""What the desk's own savings sum says of the energy saved, for rebates whose office has not told it yet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.records.project import Project
from retrofit_desk.rules.programme_amounts import WorkFacts
from retrofit_desk.rules.programme_file import AmountKind, Programme
from retrofit_desk.services.worth import WorthService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, percent_text, show_about


@dataclass(frozen=True)
class ModeledSavings:
    """Of the whole line-up: fuel and electricity used in the house together; solar is not taken off."""

    saved_kwh: float
    before_kwh: float
    made_on: date

    @property
    def share(self) -> float:
        return self.saved_kwh / self.before_kwh

    @property
    def words(self) -> str:
        saved = show_about(self.saved_kwh, Dimension.ENERGY, Units.US)
        of_day = f"this desk's savings sum of {day_text(self.made_on)}"
        return f"{percent_text(self.share)}, {saved} a year, by {of_day}"


def modeled_savings(project: Project) -> ModeledSavings | None:
    """By the newest kept sum; none before the first one."""
    found = WorthService(project).latest()
    if found is None or _used_kwh(found.before) <= 0:
        return None
    before, after = _used_kwh(found.before), _used_kwh(found.after)
    return ModeledSavings(before - after, before, found.made_at.date())


def filled(facts: WorkFacts, programme: Programme, modeled: ModeledSavings | None) -> WorkFacts:
    """The sum's figures where a rule pays by savings of the house and its office told none; marked so."""
    kinds = {one.amount.kind for one in programme.versions}
    by_kwh = AmountKind.PER_KWH_SAVED in kinds
    if modeled is None or not (by_kwh or AmountKind.BY_SAVINGS in kinds):
        return facts
    share, saved = facts.savings_share, facts.saved_kwh
    if share is not None and (saved is not None or not by_kwh):
        return facts
    whose = "what is measured counts" if by_kwh else "what the programme's assessor finds counts"
    return replace(
        facts,
        savings_share=Decimal(str(modeled.share)) if share is None else share,
        saved_kwh=Decimal(str(modeled.saved_kwh)) if saved is None else saved,
        assumed=(*facts.assumed, f"energy saved is taken as {modeled.words}; {whose}"),
    )


def _used_kwh(year: YearSummary) -> float:
    return sum(use.year_kwh for use in year.uses)
