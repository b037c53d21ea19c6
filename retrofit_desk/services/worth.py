"""What the measures are worth: working the savings sum out, keeping it, saying when it is out of date."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from pydantic import BaseModel, ValidationError
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk import __version__
from retrofit_desk.carbon.grid import GridFactor, GridPath
from retrofit_desk.estimate.belief import Belief
from retrofit_desk.estimate.budget_ladder import Aim, ladder
from retrofit_desk.estimate.budget_ladder import Rung as BestSet
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.fingerprint import Part, fingerprint, part, parts_of
from retrofit_desk.estimate.from_records import ASSUMED, case_of
from retrofit_desk.estimate.line_up import Chosen, LineUp, NotTogether
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.measures.reason import path_of
from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.estimate.savings import (
    Comfort,
    Gain,
    RoomChange,
    RoomYear,
    SavingsLine,
    SavingsSum,
    SourceLine,
    YearSummary,
)
from retrofit_desk.estimate.scenario import FuelTerms, Simulator, Terms, simulator_for
from retrofit_desk.estimate.work_out import (
    NEVER_YEARS,
    MeasureMoney,
    Question,
    gain_of,
    sets_of,
    tariff_source,
    work_out,
)
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.weather import WeatherYear
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_of
from retrofit_desk.services.bills_fit import BillsFitService
from retrofit_desk.services.budget import sure_rebates_cents
from retrofit_desk.services.days import made_now, today_of
from retrofit_desk.services.fuel_rows import fuel_factor
from retrofit_desk.services.kept_results import KeptResults
from retrofit_desk.services.measure_inputs import fact_words
from retrofit_desk.services.measures import cost_of
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.quantity import Units

__all__ = [
    "NEVER_YEARS",
    "Aim",
    "BestSet",
    "Comfort",
    "Gain",
    "RoomChange",
    "RoomYear",
    "SavingsLine",
    "SavingsSum",
    "SourceLine",
    "WorthService",
    "YearSummary",
    "ladder",
]

Progress = Callable[[float, str], None]
KIND = "line-up"
GRID_FALLS_BY = 0.03
"""A year; own judgment, between a frozen grid and the states' plans."""
LINE_LOSS = 0.051
LINE_LOSS_SOURCE = "EPA eGRID2022, grid gross loss of the Eastern interconnection (from memory)"


class OutOfDate(DeskError):
    """A kept sum is asked about that the record has left behind."""


class FactsMissing(DeskError):
    """A measure in the line-up lacks facts that the sum needs."""


@dataclass(frozen=True)
class Ask:
    """What goes in, read in one look at the record."""

    described: HouseCase
    belief: Belief
    chosen: tuple[Chosen, ...]
    money: tuple[MeasureMoney, ...]
    terms: Terms
    weather: WeatherYear
    sources: tuple[SourceLine, ...]
    parts: tuple[Part, ...]

    @property
    def fingerprint(self) -> str:
        return fingerprint(self.parts, __version__)

    def line_up(self, simulator: Simulator) -> LineUp:
        return LineUp(self.belief.house(self.described), self.chosen, simulator, self.terms)


class WorthService:
    """The savings sum of the recorded line-up."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._kept = KeptResults(project, KIND, SavingsSum)
        self._fit = BillsFitService(project)
        self._tables = tables_of(project)

    def savings(self, progress: Progress | None = None) -> SavingsSum:
        """Work the sum out and keep it. `progress` is told often and may raise to stop; nothing is kept then.

        What is known already is not run again: changed prices or a new order rerun no physics.
        Raises `CannotSay`, `FactsMissing`, `NotTogether`, `DoesNotFit`.
        """
        report = progress or (lambda share, doing: None)
        report(0.0, "reading the house")
        ask = self._ask()
        with self._project.session() as session:
            made_at = made_now(session)  # the owner's day, not that of Greenwich
        found = work_out(
            Question(
                described=ask.described,
                belief=ask.belief,
                chosen=ask.chosen,
                terms=ask.terms,
                money=ask.money,
                tables=self._tables,
                fingerprint=ask.fingerprint,
                made_at=made_at,
                sources=ask.sources,
            ),
            simulator_for(ask.weather),
            report,
        )
        before = self.latest()
        if before is not None and before.fingerprint == found.fingerprint and before.fair_parts_are_counted:
            found = _with_fair_parts(found, before)
        self._kept.keep(found, ask.parts)
        return found

    def fair_parts(self, progress: Progress | None = None) -> SavingsSum:
        """The kept sum with each measure's fair part: its mean gain over all orders that can be gone.

        Runs every set that can stand together; of more than twelve measures those of some drawn orders, and
        each part has a standard error. `progress` may raise to stop, nothing is kept then.
        Raises `OutOfDate` where the sum is not that of the record, and as `savings`.
        """
        report = progress or (lambda share, doing: None)
        found, ask = self.current(), self._ask()
        if found is None:
            raise OutOfDate("there is no sum of the house as it is recorded now", do="work the sum out first")
        line_up = ask.line_up(simulator_for(ask.weather))
        errors: list[float | None] = [None] * len(found.lines)
        if line_up.can_run_all_sets:
            parts = line_up.fair_parts(report)
        else:
            drawn = line_up.drawn_parts(report)
            parts, errors = drawn.parts, [float(error) for error in drawn.money_error_cents]
        lines = tuple(
            replace(line, fair_part=gain_of(row), fair_part_error_cents=error)
            for line, row, error in zip(found.lines, parts, errors, strict=True)
        )
        sets = {one.members: one for one in (*found.sets, *sets_of(line_up))}
        counted = replace(
            found, lines=lines, sets=tuple(sets.values()), every_set_was_run=line_up.can_run_all_sets
        )
        self._kept.keep(counted, ask.parts)
        return counted

    def every_set(self, progress: Progress | None = None) -> SavingsSum:
        """Every set run in one go; the sum is worked out first where there is none of the record as it is."""
        report = progress or (lambda share, doing: None)
        if self.current() is None:
            self.savings(lambda share, doing: report(share / 4, doing))
            return self.fair_parts(lambda share, doing: report((1 + 3 * share) / 4, doing))
        return self.fair_parts(report)

    def latest(self) -> SavingsSum | None:
        """The newest kept sum; None before the first one, or when an older program made it."""
        return self._kept.latest()

    def current(self) -> SavingsSum | None:
        """The kept sum where exactly the same goes in now. Raises `CannotSay`, `FactsMissing`."""
        found = self.latest()
        return found if found is not None and found.fingerprint == self._ask().fingerprint else None

    def exported(self) -> bytes:
        """The newest sum with all that went in. Raises `NothingKept`."""
        return self._kept.exported()

    def take(self, content: bytes) -> bool:
        """Keep an exported sum if exactly the same went in here: False, and nothing kept, otherwise."""
        ask = self._ask()
        return self._kept.take(content, ask.parts)

    def changed_since(self, units: Units = Units.US) -> tuple[str, ...]:
        """What was changed since the kept sum, in words; empty when it is up to date or there is none."""
        return self._kept.changed_since(lambda: self._ask().parts, units)

    def asked(self) -> Ask:
        """What goes into a sum of the record as it is now. Raises `CannotSay`, `FactsMissing`."""
        return self._ask()

    def obstacle(self) -> str:
        """Why the line-up cannot be gone in its order, in one line; empty when it can."""
        try:
            ask = self._ask()
            ask.line_up(simulator_for(ask.weather)).check_order()
        except DeskError as error:
            return error.line()
        return ""

    def is_out_of_date(self) -> bool:
        return bool(self.changed_since())

    def _ask(self) -> Ask:
        with self._project.session() as session:
            described = case_of(session)
            measures = session.scalars(
                select(m.Measure).where(m.Measure.in_line_up).order_by(m.Measure.position, m.Measure.id)
            ).all()
            chosen = tuple(chosen_of(measure) for measure in measures)
            money = tuple(_money(session, measure) for measure in measures)
            terms, sources = _terms(session, self._tables)
            weather = weather_in_use(self._project, session)
        weather_line = SourceLine(f"weather: {weather.name}", weather.source, None)
        assumed = tuple(SourceLine(f"assumed of {what}", origin, None) for what, origin in ASSUMED)
        belief = self._fit.belief()
        parts = (
            *parts_of(described, chosen, terms, weather.fingerprint, money),
            replace(part("the fit to the bills", (belief.center, belief.covariance)), facts=()),
        )
        return Ask(
            described, belief, chosen, money, terms, weather, (weather_line, *sources, *assumed), parts
        )


def _with_fair_parts(found: SavingsSum, before: SavingsSum) -> SavingsSum:
    """A sum worked out again from the same, with what was counted of it before."""
    lines = tuple(
        replace(line, fair_part=old.fair_part, fair_part_error_cents=old.fair_part_error_cents)
        for line, old in zip(found.lines, before.lines, strict=True)
    )
    sets = {one.members: one for one in (*before.sets, *found.sets)}
    return replace(found, lines=lines, sets=tuple(sets.values()), every_set_was_run=before.every_set_was_run)


def chosen_of(measure: m.Measure) -> Chosen:
    """A recorded measure with its facts checked. Raises `NotTogether`, `FactsMissing`."""
    kind = kinds().get(measure.kind)
    if kind is None:
        raise NotTogether(
            f"the program cannot work out the kind '{measure.kind.replace('_', ' ')}'",
            where=measure.title,
            do="take it out of the line-up",
        )
    try:
        inputs = kind.inputs.model_validate(measure.inputs)
    except ValidationError as error:
        told = _trouble(error, kind.inputs)
        raise FactsMissing(told, where=measure.title, do="complete the measure's facts") from None
    return Chosen(measure.key, measure.title, kind, inputs)


def _trouble(error: ValidationError, inputs: type[BaseModel]) -> str:
    """The first wrong fact, by the words that stand beside its field in the form."""
    first = error.errors()[0]
    steps = [str(part) for part in path_of(first)]
    fields = [inputs.model_fields.get(steps[0]), *[None] * (len(steps) - 1)] if steps else []
    fact = ", ".join(f"“{fact_words(step, field)}”" for step, field in zip(steps, fields, strict=True))
    message = f"{first['msg'][0].lower()}{first['msg'][1:]}"
    match first["type"]:
        case "missing":
            return f"{fact} is not stated"
        case "extra_forbidden":
            return f"{fact} is no fact of this kind of measure"
        case _:
            return f"{fact}: {message}" if fact else message


def _money(session: Session, measure: m.Measure) -> MeasureMoney:
    """Costs, and only those rebates that a reservation of today or a paid claim stands for."""
    cost, _ = cost_of(session, measure)
    rebates = sure_rebates_cents(session, measure, today_of(session))
    return MeasureMoney(cost, measure.stated("replacement_cents"), rebates)


def _terms(session: Session, tables: Tables) -> tuple[Terms, tuple[SourceLine, ...]]:
    """Tariffs of the house's meters, carbon of its fuels and its grid."""
    fuels: list[FuelTerms] = []
    sources: list[SourceLine] = []
    potentials = tables.potentials()
    for meter in session.scalars(select(m.Meter).order_by(m.Meter.id)):
        if not meter.tariffs:
            raise CannotSay("the bills", f"the tariff of {meter.name}")
        tariff = tables.tariff(meter.tariffs[-1].tariff_key)
        sources.append(tariff_source(tariff))
        fuel = FUELS[meter.fuel]
        carbon, per_unit = 0.0, 1.0
        if fuel != "electricity":
            factor = fuel_factor(tables, fuel, tariff.unit)
            if factor is None:
                raise CannotSay("the bills", f"a tariff of {meter.name} by a unit that {fuel} is sold in")
            carbon, per_unit = factor.co2e_kg_per_kwh(potentials), factor.kwh_per_unit
            sources.append(SourceLine(f"carbon of {factor.name}", factor.origin.line, factor.origin.as_of))
        fuels.append(FuelTerms(fuel, tariff, per_unit, carbon))
    site = session.scalar(select(m.Site))
    grid = _grid(site.state if site is not None else "", tables)
    sources.append(SourceLine(f"carbon of the grid, {grid.name}", grid.origin.line, grid.origin.as_of))
    sources.append(SourceLine(f"the grid falls by {GRID_FALLS_BY:.0%} a year", "own judgment", None))
    sources.append(SourceLine(f"lost in the lines: {LINE_LOSS:.1%}", LINE_LOSS_SOURCE, None))
    hours = tables.grid_hours(grid.region)
    if hours is not None:
        sources.append(SourceLine(f"hours of the grid, {grid.name}", hours.origin.line, hours.origin.as_of))
    path = GridPath(grid.co2e_kg_kwh(potentials, LINE_LOSS), GRID_FALLS_BY)
    return Terms(tuple(fuels), path, _ended(session), hours), tuple(sources)


def _ended(session: Session) -> frozenset[Fuel]:
    """Fuels whose accounts are all closed."""
    accounts = session.scalars(select(m.UtilityAccount)).all()
    still = {row.fuel for row in accounts if row.closed_on is None}
    return frozenset(FUELS[row.fuel] for row in accounts if row.fuel in FUELS and row.fuel not in still)


def _grid(state: str, tables: Tables) -> GridFactor:
    try:
        return tables.grid_of_state(state)
    except NotInTable:
        raise CannotSay("the carbon of the grid", f"the grid subregion of {state or 'the site'}") from None
