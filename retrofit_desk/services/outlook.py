"""What the owner believes of the years ahead: rates, price growth, study period; kept with the project."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from pydantic import TypeAdapter
from sqlalchemy import select

from retrofit_desk.estimate.over_years import Outlook
from retrofit_desk.estimate.savings import SourceLine
from retrofit_desk.money.worth import nominal_rate
from retrofit_desk.records.models.settings import Preference
from retrofit_desk.records.project import Project
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import percent_text

__all__ = ["Outlook", "OutlookService", "OutlookWrong"]

KEY = "outlook"
LONGEST_YEARS = 40
LEAST_RATE, MOST_RATE = Decimal("-0.10"), Decimal("0.20")
CHECKED_ON = date(2026, 11, 25)
OWN = "the owner's own figure"
_SHAPE: TypeAdapter[Outlook] = TypeAdapter(Outlook)
_SOURCES = {
    "discount_rate": (
        "discount rate above inflation",
        "3% real, as federal energy studies use by 10 CFR 436 and NIST Handbook 135 (from memory)",
    ),
    "fuel_growth": (
        "fuel prices above inflation",
        "own judgment: as today; NISTIR 85-3273 prints projections",
    ),
    "power_growth": (
        "electricity prices above inflation",
        "own judgment: as today; NISTIR 85-3273 prints projections",
    ),
    "inflation": ("inflation", "own judgment, near the long mean; it deflates the loan's payments alone"),
    "years": (
        "study period, years",
        "own judgment: near the life of the large machines (shared/lifetimes.csv)",
    ),
}


class OutlookWrong(DeskError):
    """A rate or a number of years that no study can be made with."""


class OutlookService:
    """Kept outside of the history: it changes how a sum is read, not the record of the house."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def outlook(self) -> Outlook:
        """The owner's figures, else the usual ones."""
        with self._project.session() as session:
            row = session.scalar(select(Preference).where(Preference.key == KEY))
        return Outlook() if row is None else _SHAPE.validate_json(row.value)

    def keep(self, outlook: Outlook) -> None:
        """Raises `OutlookWrong`."""
        _check(outlook)
        with self._project.outside_history() as work:
            row = work.session.scalar(select(Preference).where(Preference.key == KEY))
            if row is None:
                row = Preference(key=KEY, value="")
                work.session.add(row)
            row.value = _SHAPE.dump_json(outlook).decode()

    def sources(self) -> tuple[SourceLine, ...]:
        """Each figure with where it comes from and from when."""
        held, usual = self.outlook(), Outlook()
        lines = []
        for name, (subject, source) in _SOURCES.items():
            value = getattr(held, name)
            own = value != getattr(usual, name)
            told = _told(value)
            if name == "discount_rate":
                in_dollars = nominal_rate(held.discount_rate, held.inflation)
                told += f" ({_told(in_dollars)} in dollars of the day)"
            lines.append(
                SourceLine(f"{subject}: {told}", OWN if own else source, None if own else CHECKED_ON)
            )
        return tuple(lines)


def _told(value: Decimal | int) -> str:
    return percent_text(value, 1) if isinstance(value, Decimal) else str(value)


def _check(outlook: Outlook) -> None:
    if not 1 <= outlook.years <= LONGEST_YEARS:
        raise OutlookWrong(
            f"a study of {outlook.years} years cannot be made",
            where="Study period",
            do=f"choose 1 to {LONGEST_YEARS} years",
        )
    for name in ("discount_rate", "fuel_growth", "power_growth", "inflation"):
        if not LEAST_RATE <= getattr(outlook, name) <= MOST_RATE:
            raise OutlookWrong(
                f"{percent_text(getattr(outlook, name), 1)} a year is out of reach",
                where=_SOURCES[name][0].capitalize(),
                do=f"choose {percent_text(LEAST_RATE)} to {percent_text(MOST_RATE)}",
            )
