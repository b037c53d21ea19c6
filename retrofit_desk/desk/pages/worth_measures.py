"""Each measure on the Worth page: the table of its figures, what it needs and what it cannot stand beside."""

from __future__ import annotations

from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.widgets.lines import StackedLine
from retrofit_desk.desk.widgets.record_table import Column
from retrofit_desk.services.worth import SavingsLine, SavingsSum
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.quantity import Dimension, Units


def measure_columns(fuel: Dimension, units: Units) -> tuple[Column[SavingsLine], ...]:
    """Each measure in its place, with the other ways to count it."""
    return (
        Column("Measure", lambda line: line.title, is_strong=True),
        Column(
            "Fuel removed",
            lambda line: words.fuel_text(line.fuel_removed.value, fuel, units),
            lambda line: line.fuel_removed.value,
            is_number=True,
            hint=lambda line: words.ranged(line.fuel_removed, lambda kwh: words.fuel_text(kwh, fuel, units)),
        ),
        Column(
            "Electricity",
            lambda line: words.change(line.electricity_added.value),
            lambda line: line.electricity_added.value,
            is_number=True,
            hint=lambda line: words.ranged(line.electricity_added, words.change),
        ),
        Column(
            "Saves a year (range)",
            lambda line: words.brief(line.money_saved, lambda cents: whole_dollars_text(round(cents))),
            lambda line: line.money_saved.value,
            is_number=True,
        ),
        Column(
            "Alone",
            lambda line: words.gain_money(line.alone, "only with others"),
            lambda line: line.alone.money_saved_cents if line.alone else None,
            is_number=True,
        ),
        Column(
            "Last of all",
            lambda line: words.gain_money(line.last, "only with others"),
            lambda line: line.last.money_saved_cents if line.last else None,
            is_number=True,
            hint=words.last_hint,
        ),
        Column(
            "Fair part",
            words.fair_part_money,
            lambda line: line.fair_part.money_saved_cents if line.fair_part else None,
            is_number=True,
            hint=words.fair_part_hint,
        ),
        Column(
            "Costs",
            lambda line: (
                str(line.cost_cents.stated)
                if line.cost_cents.value is None
                else whole_dollars_text(line.cost_cents.value)
            ),
            lambda line: line.cost_cents.value,
            is_number=True,
        ),
        Column(
            "Simple payback, years",
            lambda line: words.brief_payback(line.payback, line.payback_words),
            lambda line: line.payback.value if line.payback else None,
            hint=lambda line: words.payback_text(line.payback, line.payback_words),
        ),
        Column(
            "Carbon saved",
            lambda line: words.mass(line.carbon_saved.value, units),
            lambda line: line.carbon_saved.value,
            is_number=True,
            hint=lambda line: words.ranged(line.carbon_saved, lambda kg: words.mass(kg, units)),
        ),
        Column(
            "Carbon put in (A1-A5)",
            lambda line: _put_in(line, units),
            lambda line: line.material.upfront_kg,
            is_number=True,
            hint=lambda line: "; ".join(line.material.sources) or "unknown",
        ),
    )


def _put_in(line: SavingsLine, units: Units) -> str:
    if line.material.unknown and not line.material.made_kg:
        return "unknown"
    return words.mass(line.material.upfront_kg, units)


def bonds(found: SavingsSum) -> list[StackedLine]:
    """For each measure that has any: what it needs, what needs it, what cannot stand beside it."""
    titles = {line.key: line.title for line in found.lines}
    lines = []
    for line in found.lines:
        told = [f"Needs {_and([titles[key] for key in line.needs if key in titles])}."] if line.needs else []
        if line.last_without:
            told.append(f"Without it these cannot stand: {_and(line.last_without)}.")
        if line.excludes:
            told.append(f"Cannot stand beside: {_and([one.lower() for one in line.excludes])}.")
        told += line.beside
        if told:
            lines.append(StackedLine(line.title, " ".join(told)))
    return lines


def _and(names: list[str] | tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
