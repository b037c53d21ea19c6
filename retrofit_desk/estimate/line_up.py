"""A set of measures in an order, applied to the house as it stands, and what each adds."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate import shares
from retrofit_desk.estimate.all_cores import cores, on_all_cores, while_heard
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind
from retrofit_desk.estimate.own_figures import with_own_figures
from retrofit_desk.estimate.scenario import CostYear, EnergyYear, Simulator, Terms, cost_year
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.errors import DeskError

Array = NDArray[np.float64]
Report = Callable[[float, str], None]
MOST_FOR_ALL_SETS = 12
MOST_LEFT_OUT = 3
"""So many others may be left out for a measure to be the last of all."""
DRAWN_ORDERS = 100


class NotTogether(DeskError):
    """Measures that cannot stand together, or one that lacks what it needs."""


@dataclass(frozen=True)
class Chosen:
    """A recorded measure with its checked facts."""

    key: str
    title: str
    kind: MeasureKind[Inputs]
    inputs: Inputs


FUELS_BURNED: tuple[Fuel, ...] = ("gas", "oil", "propane", "wood")
FIGURES = (
    *(f"{fuel}_kwh" for fuel in FUELS_BURNED),
    "drawn_kwh",
    "fed_in_kwh",
    "fuel_bill_cents",
    "power_bill_cents",
    "fuel_carbon_kg",
    "power_carbon_kg",
    "own_cents",
)
"""What a set is worth, in this order; a gain is the change of each."""


MONEY = ("fuel_bill_cents", "power_bill_cents", "own_cents")


@dataclass(frozen=True, eq=False)
class DrawnParts:
    """Fair parts (measures, figures) from drawn orders, and the standard error of their money (measures,)."""

    parts: Array
    money_error_cents: Array
    orders: int


@dataclass(frozen=True)
class SetYear:
    """The year of one set of measures."""

    case: HouseCase
    energy: EnergyYear
    cost: CostYear
    own_cents_saved: float = 0.0
    """Beside the bills, as the owner says."""

    def figures(self) -> Array:
        energy, cost = self.energy, self.cost
        burned = [energy.fuel_kwh(fuel) for fuel in FUELS_BURNED]
        money = [float(cost.fuel_cents), float(cost.power_cents)]
        carbon = [cost.fuel_carbon_kg, cost.power_carbon_kg]
        own = -self.own_cents_saved
        return np.array([*burned, energy.drawn_kwh, energy.fed_in_kwh, *money, *carbon, own])


class LineUp:
    """All sets of some measures on one house. Sets are bit masks in the order of `chosen`."""

    def __init__(
        self,
        base: HouseCase,
        chosen: Sequence[Chosen],
        simulator: Simulator,
        terms: Terms,
        adjust: Callable[[HouseCase], HouseCase] | None = None,
    ) -> None:
        """`adjust` is done to every house of the line-up, such as the change of an uncertain factor."""
        self.base, self.chosen, self.terms = base, tuple(chosen), terms
        self._adjust = adjust
        self._simulator = simulator
        self._years: dict[int, SetYear] = {}
        self._worths: dict[int, Array] = {}
        self._cases: dict[int, HouseCase | None] = {}
        self._built: dict[int, HouseCase] = {0: base}
        self._by_rank = sorted(
            range(len(self.chosen)), key=lambda bit: (self.chosen[bit].kind.rank, self.chosen[bit].key)
        )

    @property
    def whole(self) -> int:
        return (1 << len(self.chosen)) - 1

    def case(self, mask: int) -> HouseCase | None:
        """The house with this set; None where the set cannot stand together. The order is no matter."""
        if mask not in self._cases:
            members = [one for bit, one in enumerate(self.chosen) if mask >> bit & 1]
            self._cases[mask] = None if obstacle(members) else self._applied(mask, members)
        return self._cases[mask]

    def is_possible(self, mask: int) -> bool:
        return self.case(mask) is not None

    def year(self, mask: int) -> SetYear:
        """The year of a possible set. Raises `NotTogether`."""
        if mask not in self._years:
            self._years[mask] = self._run(mask)
        return self._years[mask]

    def worth(self, mask: int) -> Array:
        """The figures of a possible set; of thousands of sets only these are kept. Raises `NotTogether`."""
        if mask not in self._worths:
            self._worths[mask] = (self._years.get(mask) or self._run(mask)).figures()
        return self._worths[mask]

    def prefixes(self) -> tuple[int, ...]:
        """The sets along the line-up, from nothing to all."""
        masks = [0]
        for bit in range(len(self.chosen)):
            masks.append(masks[-1] | 1 << bit)
        return tuple(masks)

    def check_order(self) -> None:
        """Raises `NotTogether` where a measure stands before one that it needs; runs nothing."""
        for mask in self.prefixes():
            self._possible(mask)

    def in_its_place(self, report: Report) -> Array:
        """Gain of each measure at its place, (measures, figures). Raises `NotTogether`."""
        masks = self.prefixes()
        self.run_sets(masks, report)
        rows = [self.worth(after) - self.worth(before) for before, after in pairwise(masks)]
        return np.array(rows).reshape(len(self.chosen), len(FIGURES))

    def smallest_with(self, bit: int) -> tuple[int, int]:
        """The smallest possible sets without and with a measure: the house, or with just what it needs.

        Raises `OrderImpossible`.
        """
        needed = self._needed(bit)
        after = needed | 1 << bit
        if not (self.is_possible(after) and self.is_possible(needed)):
            raise shares.OrderImpossible(
                "cannot be done without much else", where=self.chosen[bit].title, do="see its place"
            )
        return needed, after

    def largest_with(self, bit: int) -> tuple[int, int] | None:
        """The largest possible sets without and with a measure: the whole, less what cannot stand without it.

        None where more than a few others would have to be left out.
        """
        others = [other for other in range(len(self.chosen)) if other != bit]
        for many in range(min(MOST_LEFT_OUT, len(others)) + 1):
            for out in combinations(reversed(others), many):
                before = self.whole & ~(1 << bit) & ~sum(1 << other for other in out)
                if self.is_possible(before) and self.is_possible(before | 1 << bit):
                    return before, before | 1 << bit
        return None

    @property
    def known(self) -> tuple[int, ...]:
        """The sets whose figures are worked out."""
        return tuple(sorted(self._worths))

    @property
    def can_run_all_sets(self) -> bool:
        """Whether the measures are few enough for every set of them to be run."""
        return sum(1 for one in self.chosen if one.kind.ends_fuel is None) <= MOST_FOR_ALL_SETS

    def possible_sets(self) -> set[int]:
        """Every set that can stand together. Raises `NotTogether` for more than twelve measures.

        The end of an account changes bills alone and is not counted among the twelve.
        """
        if not self.can_run_all_sets:
            raise NotTogether(
                f"more than {MOST_FOR_ALL_SETS} measures have too many sets to run them all",
                do="take some out of the line-up",
            )
        return {mask for mask in range(self.whole + 1) if self.is_possible(mask)}

    def fair_parts(self, report: Report) -> Array:
        """Exact fair parts, (measures, figures), from every possible set."""
        possible = while_heard(
            self.possible_sets, lambda: report(0.0, "looking for every set that can stand together")
        )
        self.run_sets(possible, report)
        return shares.fair_parts(len(self.chosen), possible, self.worth)

    def drawn_parts(self, report: Report, orders: int = DRAWN_ORDERS, seed: int = 1) -> DrawnParts:
        """Fair parts of any number of measures from drawn orders, each with its standard error."""
        count = len(self.chosen)
        chains, _ = while_heard(
            lambda: shares.drawn_orders(count, self.is_possible, orders, seed),
            lambda: report(0.0, "drawing orders that can be gone"),
        )
        self.run_sets({mask for chain in chains for mask in chain}, report)
        drawn = shares.sampled_parts(count, self.is_possible, self._worth_and_money, orders, seed)
        return DrawnParts(drawn.parts[:, :-1], drawn.standard_error[:, -1], orders)

    def _worth_and_money(self, mask: int) -> Array:
        """The figures and last all money, which has an error of its own."""
        row = self.worth(mask)
        return np.append(row, sum(row[FIGURES.index(name)] for name in MONEY))

    def run_sets(self, masks: Collection[int], report: Report) -> None:
        """Work out the figures of many possible sets on all cores; what was run before is not run again.

        `report` may raise to stop. Raises `NotTogether`.
        """
        new = [mask for mask in masks if mask not in self._worths]
        known = len(masks) - len(new)

        def told(done: int) -> None:
            report((known + done) / max(1, len(masks)), f"{known + done:,} of {len(masks):,} sets")

        dealt = while_heard(lambda: self._dealt(new), lambda: told(0))
        on_all_cores(dealt, self.worth, told)

    def _dealt(self, masks: Sequence[int]) -> list[list[int]]:
        """Sets in groups that share the most work: a fabric, or less where all cores would not be busy."""
        by_house = sorted(masks, key=lambda mask: id(self._possible(mask).house))  # looked at once each
        places = {mask: self._simulator.place(self._adjusted(mask)) for mask in by_house}
        for depth in (1, 2, 3):
            groups: dict[tuple[object, ...], list[int]] = {}
            for mask in sorted(masks, key=places.__getitem__):
                groups.setdefault(places[mask][:depth], []).append(mask)
            if len(groups) >= 2 * cores():
                break
        return list(groups.values())

    def _run(self, mask: int) -> SetYear:
        case, run = self._possible(mask), self._adjusted(mask)
        energy = with_own_figures(self._simulator.year(run), run.own_figures)
        cost = cost_year(energy, case.closed_accounts, self.terms)
        return SetYear(case, energy, cost, run.own_cents_saved)

    def _adjusted(self, mask: int) -> HouseCase:
        case = self._possible(mask)
        return case if self._adjust is None else self._adjust(case)

    def _possible(self, mask: int) -> HouseCase:
        case = self.case(mask)
        if case is None:
            members = [one for bit, one in enumerate(self.chosen) if mask >> bit & 1]
            raise NotTogether(obstacle(members) or _still_burning(members), do="change the line-up")
        return case

    def _needed(self, bit: int) -> int:
        """What a measure needs of the others: one kind of each group, and no burner if it ends a fuel."""
        kind = self.chosen[bit].kind
        mask = 0
        for group in kind.needs:
            others = [other for other, one in enumerate(self.chosen) if one.kind.key in group]
            if others:
                mask |= 1 << others[0] | self._needed(others[0])
        if kind.ends_fuel is not None:
            mask = self._burners_gone(mask, bit)
        return mask

    def _burners_gone(self, mask: int, bit: int) -> int:
        """Adds measures, in order, that bring the fuel's use down, until nothing burns it."""
        fuel = self.chosen[bit].kind.ends_fuel
        for other in range(len(self.chosen)):
            if other == bit or mask >> other & 1:
                continue
            case, larger = self.case(mask), mask | 1 << other
            after = self.case(larger)
            if case is not None and after is not None and _burns(after, fuel) < _burns(case, fuel):
                mask = larger
        return mask

    def _applied(self, mask: int, members: Sequence[Chosen]) -> HouseCase | None:
        case = self._build(mask)
        ended = [one.kind.ends_fuel for one in members if one.kind.ends_fuel is not None]
        return None if any(_burns(case, fuel) for fuel in ended) else case

    def _build(self, mask: int) -> HouseCase:
        """By rising rank, each on the house that the lower ones made."""
        if mask not in self._built:
            last = next(bit for bit in reversed(self._by_rank) if mask >> bit & 1)
            one = self.chosen[last]
            self._built[mask] = one.kind.apply(self._build(mask & ~(1 << last)), one.inputs)
        return self._built[mask]


def obstacle(members: Sequence[Chosen]) -> str:
    """Why these measures cannot stand together, in one sentence; empty when they can."""
    for at, one in enumerate(members):
        others = {other.kind.key for number, other in enumerate(members) if number != at}
        for group in one.kind.needs:
            if not others & group:
                return f"{one.title} needs another measure first: {_either(group)}"
        beside = [
            other.title for other in members if other is not one and other.kind.key in one.kind.excludes
        ]
        if beside:
            return f"{one.title} cannot stand beside {' or '.join(beside)}"
    return ""


def _either(group: Collection[str]) -> str:
    """Kinds of which one is enough, by their titles."""
    known = kinds()
    return " or ".join(sorted(known[key].title.lower() if key in known else key for key in group))


def _still_burning(members: Sequence[Chosen]) -> str:
    ends = next((one for one in members if one.kind.ends_fuel is not None), None)
    return f"{ends.title}: something still burns {ends.kind.ends_fuel}" if ends else "the measures do not fit"


def _burns(case: HouseCase, fuel: str | None) -> int:
    """How many parts of the plant use a fuel."""
    plant = case.plant
    served = {system.machine for system in plant.systems}
    machines = [one for one in plant.machines if one.name in served and getattr(one, "fuel", None) == fuel]
    others = [plant.water_heater, plant.cooking, plant.dryer]
    return len(machines) + sum(1 for part in others if getattr(part, "fuel", None) == fuel)
