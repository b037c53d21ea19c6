"""What comes after a measure is bought: by the owner's own figures, else by the tables of lives."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.later_money import Lasting, LaterMoney, Life
from retrofit_desk.estimate.savings import SavingsLine
from retrofit_desk.money.rounding import split_cents
from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind
from retrofit_desk.records.project import Project
from retrofit_desk.records.table_rows import Lifetime, Renewal
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.services.days import today_of
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import Stated, StatedValue

LONGEST_LIFE_YEARS = 100
DAYS_A_YEAR = 365.25
LIFE_OF: dict[EquipmentKind, str] = {
    EquipmentKind.FURNACE: "furnace",
    EquipmentKind.BOILER: "boiler",
    EquipmentKind.AIR_CONDITIONER: "air_conditioner",
    EquipmentKind.AIR_SOURCE_HEAT_PUMP: "air_source_heat_pump",
    EquipmentKind.GROUND_SOURCE_HEAT_PUMP: "ground_source_heat_pump",
    EquipmentKind.HEAT_PUMP_WATER_HEATER: "heat_pump_water_heater",
    EquipmentKind.DRYER: "dryer",
}
"""Rows of the table of lives for machines that a measure takes the place of."""
LIFE_OF_BURNING: dict[EquipmentKind, tuple[str, str]] = {
    EquipmentKind.WATER_HEATER: ("water_heater_gas", "water_heater_electric"),
    EquipmentKind.RANGE: ("range_gas", "range_electric"),
}
"""The same for those that last otherwise on electricity: burning, electric."""


STATED = ("life_years", "renewal_cents", "upkeep_cents", "ended_upkeep_cents", "instead_life_years")


class LaterWrong(DeskError):
    """A figure of the years after that cannot be so."""


@dataclass(frozen=True)
class OwnFigures:
    """What the owner enters of one measure; what is unknown is told by the tables, or stays unknown."""

    life_years: StatedValue[int]
    renewal_cents: StatedValue[int]
    upkeep_cents: StatedValue[int]
    ended_upkeep_cents: StatedValue[int]
    replacement_cents: StatedValue[int]
    """What would be bought anyway without the measure."""
    instead_due_on: date | None
    instead_life_years: StatedValue[int]
    source: str = ""
    as_of: date | None = None


class LaterMoneyService:
    """Reads and keeps the owner's figures of a measure's years."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._tables = tables_of(project)

    def own_figures(self, measure_id: int) -> OwnFigures:
        with self._project.session() as session:
            measure = session.get_one(m.Measure, measure_id)
            later = measure.later or m.LaterFigures()
            return OwnFigures(
                **{name: _stated(later, name) for name in STATED},
                replacement_cents=measure.stated("replacement_cents"),
                instead_due_on=later.instead_due_on,
                source=later.source or "",
                as_of=later.as_of,
            )

    def keep(self, measure_id: int, own: OwnFigures) -> None:
        """One step that undo takes back. Raises `LaterWrong`."""
        _check(own)
        with self._project.action("Say what comes after a measure is bought") as work:
            measure = work.session.get_one(m.Measure, measure_id)
            measure.set_stated("replacement_cents", own.replacement_cents)
            later = measure.later
            if later is None:
                later = measure.later = m.LaterFigures()
            for name in STATED:
                later.set_stated(name, getattr(own, name))
            later.instead_due_on, later.source = own.instead_due_on, own.source
            later.as_of = today_of(work.session)

    def usual(self, measure_id: int) -> tuple[str, ...]:
        """What the tables say of this kind of measure, in lines."""
        with self._project.session() as session:
            kind = session.get_one(m.Measure, measure_id).kind
        rows = self._tables.renewals_of(kind, "own")
        return tuple(
            f"{life.name}: {count_text(round(life.years), 'year')} "
            f"({life.years_low:.0f} to {life.years_high:.0f}), "
            f"{row.cost_share:.0%} of the price; {life.origin.line}"
            for row, life in _with_lives(rows, self._tables)
        )


def later_money(
    session: Session, lines: Iterable[SavingsLine], start: date, tables: Tables
) -> dict[str, LaterMoney]:
    """For each line whose measure is on record, by its key; `start` is the first day of the study."""
    found: dict[str, LaterMoney] = {}
    for line in lines:
        measure = session.scalar(select(m.Measure).where(m.Measure.key == line.key))
        if measure is not None:
            found[line.key] = _of(session, line, measure, start, tables)
    return found


def _of(session: Session, line: SavingsLine, measure: m.Measure, start: date, tables: Tables) -> LaterMoney:
    own = measure.later or m.LaterFigures()
    said = f"own figure, {own.source or 'no source'}"
    if own.as_of is not None:
        said += f", {day_text(own.as_of)}"
    avoided = line.avoided_cents.value or 0
    return LaterMoney(
        title=line.title,
        own=_parts(line.title, line.cost_cents.value or 0, measure.kind, own, said, tables),
        instead=_instead(session, measure, avoided, own, said, start, tables) if avoided else (),
        upkeep_cents=_stated(own, "upkeep_cents"),
        ended_upkeep_cents=_stated(own, "ended_upkeep_cents"),
        source=said if measure.later is not None else "",
    )


def _parts(
    title: str, cost_cents: int, kind: str, own: m.LaterFigures, said: str, tables: Tables
) -> tuple[Lasting, ...]:
    """What the price buys, the part that wears out first in front; the owner's figures are of that part."""
    rows = tables.renewals_of(kind, "own")
    if rows and not any(row.part for row in rows) and own.life_years is None:
        return (Lasting(title, cost_cents, 0, None, is_once=True),)
    usual = sorted(_with_lives(rows, tables), key=lambda one: one[1].years)
    prices = split_cents(cost_cents, [row.cost_share for row, _ in usual]) if usual else (cost_cents,)
    lives: list[Life | None] = [_life(life) for _, life in usual] or [None]
    names = [life.name for _, life in usual] or [title]
    first, again = prices[0], prices[0]
    if own.renewal_cents is not None:
        first, again = min(own.renewal_cents, cost_cents), own.renewal_cents
    if own.life_years is not None:
        lives[0] = Life(own.life_years, own.life_years, own.life_years, said)
    rest = _spread(cost_cents - first, prices[1:])
    parts = [Lasting(names[0], first, again, lives[0])]
    parts += [Lasting(*one) for one in zip(names[1:], rest, rest, lives[1:], strict=True)]
    beyond = cost_cents - first - sum(rest)
    if beyond:
        parts.append(Lasting("what is not bought again with it", beyond, beyond, None))
    return tuple(parts)


def _instead(
    session: Session,
    measure: m.Measure,
    avoided_cents: int,
    own: m.LaterFigures,
    said: str,
    start: date,
    tables: Tables,
) -> tuple[Lasting, ...]:
    """What would be bought anyway: the machines that go, each when it is worn out, else the usual thing now.

    Of several machines the price is shared equally: own judgment.
    """
    machines = _machines(session, measure)
    rows: list[tuple[str, Life | None, date | None]] = [
        (row.name, _life(row), machine.installed_on)
        for row, machine in ((tables.lifetime(key), machine) for key, machine in machines)
    ]
    if not rows:
        usual = _with_lives(tables.renewals_of(measure.kind, "instead"), tables)
        rows = [(life.name, _life(life), None) for _, life in usual] or [("Bought anyway", None, None)]
    parts = []
    prices = split_cents(avoided_cents, [Decimal(1)] * len(rows))
    for price, (name, usual_life, installed_on) in zip(prices, rows, strict=True):
        years = own.instead_life_years
        life = usual_life if years is None else Life(years, years, years, said)
        due, because = _due(start, own, said, installed_on, life)
        parts.append(Lasting(name, price, price, life, due, because))
    return tuple(parts)


def _due(
    start: date, own: m.LaterFigures, said: str, installed_on: date | None, life: Life | None
) -> tuple[int, str]:
    """Years from the start until it is bought anyway, and why then."""
    if own.instead_due_on is not None:
        days = (own.instead_due_on - start).days
        return max(round(days / DAYS_A_YEAR), 0), f"due {day_text(own.instead_due_on)}: {said}"
    if installed_on is not None and life is not None:
        age = (start - installed_on).days / DAYS_A_YEAR
        because = f"installed {day_text(installed_on)}, lasts {count_text(life.years, 'year')}"
        return max(round(life.years - age), 0), because
    return 0, "counted now: nobody said when it is due"


def _machines(session: Session, measure: m.Measure) -> list[tuple[str, m.Equipment]]:
    """Machines that the measure takes the place of, with their rows of the table of lives."""
    keys = measure.inputs.get("replaces", ())
    found = session.scalars(select(m.Equipment).where(m.Equipment.key.in_(keys)).order_by(m.Equipment.id))
    pairs = ((_life_key(machine), machine) for machine in found)
    return [(key, machine) for key, machine in pairs if key]


def _life_key(machine: m.Equipment) -> str:
    if machine.kind in LIFE_OF_BURNING:
        burning, electric = LIFE_OF_BURNING[machine.kind]
        return electric if machine.fuel is m.Fuel.ELECTRICITY else burning
    return LIFE_OF.get(machine.kind, "")


def _with_lives(rows: Sequence[Renewal], tables: Tables) -> list[tuple[Renewal, Lifetime]]:
    return [(row, tables.lifetime(row.part)) for row in rows if row.part]


def _life(row: Lifetime) -> Life:
    source = f"{row.name}: {row.origin.line}"
    return Life(round(row.years), round(row.years_low), round(row.years_high), source)


def _spread(cents: int, over: Sequence[int]) -> tuple[int, ...]:
    """What is left of the price over the other parts, as they share it; nothing where there are none."""
    if not over:
        return ()
    weights = [Decimal(one) for one in over]
    return split_cents(max(cents, 0), weights if sum(over) else [Decimal(1)] * len(over))


def _stated(later: m.LaterFigures, column: str) -> StatedValue[int]:
    """Of figures that nobody entered too."""
    value = getattr(later, column)
    return StatedValue.of(value, getattr(later, later.word_of(column)) or Stated.UNKNOWN)


def _check(own: OwnFigures) -> None:
    for name, value in (
        ("It lasts", own.life_years),
        ("What is bought anyway lasts", own.instead_life_years),
    ):
        if value.value is not None and not 1 <= value.value <= LONGEST_LIFE_YEARS:
            raise LaterWrong(
                f"{value.value} years cannot be", where=name, do=f"type 1 to {LONGEST_LIFE_YEARS} years"
            )
    for name, value in (
        ("Buying it again", own.renewal_cents),
        ("Upkeep", own.upkeep_cents),
        ("Upkeep that ends", own.ended_upkeep_cents),
        ("Bought anyway", own.replacement_cents),
    ):
        if value.value is not None and value.value < 0:
            raise LaterWrong("this cannot be below zero", where=name, do="type it again")
