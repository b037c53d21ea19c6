"""The budget ladder in words, and as data with the sets that it is chosen from."""

from __future__ import annotations

from typing import Any

from retrofit_desk.estimate.budget_ladder import Aim, Rung, ladder
from retrofit_desk.estimate.savings import SavingsSum, SetWorth
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.quantity import Dimension, Units, show

HOW = (
    "For each budget, rebates taken off, the set that does most in a year. Each set was run as it is, with "
    "all that its measures do to each other; a measure whose cost is not known stands on no rung. "
)
AS_RUN = "Every set that can stand together was run: none does more."
SOME_RUN = "Only {sets:,} sets were run so far, those that promise most among them: another may do more."
NONE_RUN = "No set was kept: run every set, or work the sum out again."


def how_many(found: SavingsSum) -> str:
    """How many sets the ladder is chosen from."""
    if found.every_set_was_run:
        return AS_RUN
    return SOME_RUN.format(sets=len(found.sets)) if found.sets else NONE_RUN


def ladder_lines(found: SavingsSum) -> tuple[str, ...]:
    """A line for each budget and aim, the measures by their numbers in the line-up, in US units."""
    if not found.lines:
        return ()
    head = ("", f"Best for the money. {HOW}{how_many(found)}")
    return (
        *head,
        *(
            line
            for aim in Aim
            for line in (
                f"  most {aim}",
                *(_line(found, rung) for rung in ladder(found.lines, found.sets, aim)),
            )
        ),
    )


def ladder_data(found: SavingsSum) -> dict[str, Any]:
    """Stable keys, units in the names; measures by their keys."""
    return {
        "every_set_was_run": found.every_set_was_run,
        "sets": [_set(found, one) for one in found.sets],
        "best_for_the_money": [
            {"most": str(aim), "budget_cents": rung.budget_cents, "cost_cents": rung.cost_cents}
            | _gains(found, rung.measures, rung)
            for aim in Aim
            for rung in ladder(found.lines, found.sets, aim)
        ],
    }


def _line(found: SavingsSum, rung: Rung) -> str:
    numbers = ", ".join(str(bit + 1) for bit in rung.measures)
    noun = "measure" if len(rung.measures) == 1 else "measures"
    what = f"{noun} {numbers} for {whole_dollars_text(rung.cost_cents)}" if numbers else "no measure"
    return (
        f"    {whole_dollars_text(rung.budget_cents):<10}{what}: saves "
        f"{whole_dollars_text(rung.money_saved_cents)}, "
        f"{show(rung.carbon_saved_kg, Dimension.MASS, Units.US, decimals=0)} of carbon and "
        f"{show(rung.fuel_removed_kwh, found.fuel_dimension, Units.US, decimals=0)} of fuel a year"
    )


def _set(found: SavingsSum, one: SetWorth) -> dict[str, Any]:
    return _gains(found, tuple(bit for bit in range(len(found.lines)) if one.members >> bit & 1), one)


def _gains(found: SavingsSum, members: tuple[int, ...], did: Rung | SetWorth) -> dict[str, Any]:
    return {
        "measures": [found.lines[bit].key for bit in members],
        "money_saved_cents_per_year": round(did.money_saved_cents),
        "carbon_saved_kg_per_year": did.carbon_saved_kg,
        "fuel_removed_kwh_per_year": did.fuel_removed_kwh,
    }
