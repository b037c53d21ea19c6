"""What comes after a purchase: what wears out and is bought again, yearly upkeep, what is left at the end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from retrofit_desk.money.rounding import whole_cents
from retrofit_desk.money.worth import residual_share, years_bought_again
from retrofit_desk.values.stated import Stated, StatedValue

UNKNOWN: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


@dataclass(frozen=True)
class Life:
    """Whole years that a thing lasts, how far they may lie off, and who says so."""

    years: int
    low_years: int
    high_years: int
    source: str


@dataclass(frozen=True)
class Lasting:
    """A thing that is bought, in cents of today. Without a life it is bought once and leaves nothing."""

    name: str
    price_cents: int
    again_cents: int
    """What the next one costs."""
    life: Life | None
    bought_in: int = 0
    """Years from the start of the study; 0 is at its start."""
    bought_because: str = ""
    """Where that year comes from."""
    is_once: bool = False
    """Nothing that wears out: it is never bought again, and nothing of it is left."""

    def first_cents(self, study_years: int) -> int:
        """What is paid for the first one within the study."""
        return self.price_cents if self.bought_in < study_years else 0

    def again(self, study_years: int) -> tuple[tuple[int, int], ...]:
        """Year and cents of each later purchase within the study."""
        if self.life is None:
            return ()
        years = years_bought_again(self.life.years, study_years, self.bought_in)
        return tuple((year, self.again_cents) for year in years)

    def left_cents(self, study_years: int) -> int:
        """What the last one bought is worth at the end of the study."""
        if self.life is None:
            return 0
        last = self.again_cents if self.again(study_years) else self.price_cents
        return whole_cents(last * residual_share(self.life.years, study_years, self.bought_in))

    def by_year_cents(self, study_years: int) -> tuple[int, ...]:
        """Paid for it at the end of years 0 to the last of the study, which gives back what is left."""
        paid = [0] * (study_years + 1)
        paid[min(self.bought_in, study_years)] += self.first_cents(study_years)
        for year, cents in self.again(study_years):
            paid[year] += cents
        paid[-1] -= self.left_cents(study_years)
        return tuple(paid)

    def lasting(self, years: int) -> Lasting:
        """The same with another life."""
        return self if self.life is None else replace(self, life=replace(self.life, years=years))


@dataclass(frozen=True)
class LaterMoney:
    """One measure over its years: its parts, what would be bought without it, the upkeep of both a year."""

    title: str
    own: tuple[Lasting, ...]
    instead: tuple[Lasting, ...] = ()
    upkeep_cents: StatedValue[int] = UNKNOWN
    ended_upkeep_cents: StatedValue[int] = UNKNOWN
    """Upkeep that is no longer due once the measure is done."""
    source: str = ""
    """Who says what the owner entered, and when."""

    @property
    def lasts_unknown(self) -> bool:
        """Whether a part of its price has no known life."""
        return any(one.life is None and one.price_cents > 0 and not one.is_once for one in self.own)


def upkeep_known_cents(later: Iterable[LaterMoney]) -> tuple[int, int]:
    """Upkeep a year as far as it is known: what comes, and what ends."""
    kept = list(later)
    return (
        sum(one.upkeep_cents.value or 0 for one in kept),
        sum(one.ended_upkeep_cents.value or 0 for one in kept),
    )
