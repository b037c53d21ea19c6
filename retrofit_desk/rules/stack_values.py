"""What several programmes for the same work are asked with, and what they answer together."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.rules.programme_amounts import WorkFacts
from retrofit_desk.rules.programme_file import Programme, Tax
from retrofit_desk.rules.programmes import ProgrammeAnswer
from retrofit_desk.values.stated import Stated, StatedValue

UNKNOWN_CENTS: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


@dataclass(frozen=True)
class Wanted:
    """A programme that is meant to pay for one piece of work.

    `work`: its name, one for all programmes of the same upgrade. `answer`: what the programme pays by itself.
    `received_cents`: what was paid already, which no rule changes any more. `over`: of one for several
    measures or the house, the cost in cents of each; empty for one that is for its `work` alone.
    """

    programme: Programme
    work: str
    facts: WorkFacts
    answer: ProgrammeAnswer
    received_cents: int | None = None
    over: tuple[tuple[str, int], ...] = ()

    @property
    def costs(self) -> dict[str, int]:
        """What it pays for, piece by piece, in cents."""
        return dict(self.over) or {self.work: self.cost_cents}

    def shares_work_with(self, other: Wanted) -> bool:
        """Whether both pay for a piece of the same work."""
        return not self.costs.keys().isdisjoint(other.costs)

    @property
    def at(self) -> tuple[str, str]:
        return self.programme.key, self.work

    @property
    def cost_cents(self) -> int:
        return sum(item.cost_cents for item in self.facts.items)


@dataclass(frozen=True)
class Cut:
    """What is taken off an amount, and why. `over_works`: by a cap over several measures."""

    why: str
    cents: int
    over_works: bool = False


@dataclass(frozen=True)
class Taken:
    """One programme at its place. `alone_cents` less the `cuts` is `taken_cents`."""

    programme_key: str
    name: str
    work: str
    place: int
    """1 is taken first, among the programmes of the same work."""
    of: int
    why: str
    """Why it is taken at this place."""
    alone_cents: StatedValue[int]
    taken_cents: StatedValue[int]
    cuts: tuple[Cut, ...]
    tax: Tax


@dataclass(frozen=True)
class Apart:
    """Programmes that may not pay for the same work. Kept is the set that pays most.

    `costs_cents`: what the rule takes in all against all of them paying; none where that cannot be said.
    """

    work: str
    kept: tuple[str, ...]
    left_out: tuple[str, ...]
    costs_cents: int | None
    needs: str = ""
    """What must be known before the better one, or the order, can be told."""
    is_order: bool = False
    """They wait for each other, so there is no first one."""


@dataclass(frozen=True)
class Stack:
    """All programmes together. The total is unknown while one of its parts is; it never exceeds the cost."""

    taken: tuple[Taken, ...]
    apart: tuple[Apart, ...]
    total_cents: StatedValue[int]
    known_cents: int
    """The parts that can be told."""

    def of(self, programme_key: str, work: str) -> Taken | None:
        return next(
            (one for one in self.taken if (one.programme_key, one.work) == (programme_key, work)), None
        )
