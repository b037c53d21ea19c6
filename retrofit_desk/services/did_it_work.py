"""Did it work? The bills before and after each piece of work, weather taken out, and their answer."""

from __future__ import annotations

import math
from calendar import monthrange
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.proof import MeterProof, SiteProof, prove
from retrofit_desk.estimate.proof_periods import Basis, Window, in_bills
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.bills_savings import Avoided
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules import states
from retrofit_desk.rules.bills_answer import (
    JUDGED_BY,
    BillsEvidence,
    Done,
    Spell,
    answer_of,
    reason_of,
    spells,
)
from retrofit_desk.rules.states import BillsAnswer, MeasureState
from retrofit_desk.services.days import today_of
from retrofit_desk.services.measure_facts import facts_of
from retrofit_desk.services.measures import MeasureGone, move_in
from retrofit_desk.services.metered import DatedTariff, meter_records, priced_cents, tariffs_of
from retrofit_desk.services.outside_temps import outside_temps_in_use, told_of
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.dates import month_text
from retrofit_desk.values.errors import CannotSay

__all__ = [
    "JUDGED_BY",
    "Basis",
    "DidItWorkService",
    "MeasureAsked",
    "MeterAnswer",
    "Saved",
    "WorkAnswer",
    "done_of",
    "in_service_of",
]

MOST_MISSING_OF_MONTH = 5
"""A month of which no more days are missing is drawn, brought to its full length."""
_GONE = (MeasureState.DROPPED, MeasureState.REPLACED)
_BILLS_SPOKE = (
    MeasureState.SIGNED_OFF,
    MeasureState.PROVEN,
    MeasureState.TOO_SOON,
    MeasureState.NOT_BORNE_OUT,
)


@dataclass(frozen=True)
class Saved:
    """What the house as it was would have used, what the bills say; half width of the range at 90 %."""

    predicted: float
    measured: float
    half_width: float | None

    @property
    def saved(self) -> float:
        return self.predicted - self.measured

    @property
    def share(self) -> float:
        return self.saved / self.predicted


@dataclass(frozen=True)
class MeterAnswer:
    """One meter in its own unit. `before`, `after`, `as_it_was`: January to December, None where not known.

    `basis`: bills, fills or days read, `why` these; `periods_*`: how many of them.
    """

    name: str
    unit: str
    basis: Basis
    why: str
    saved: Saved | None
    money_cents: Saved | None
    """What both uses cost by the tariff of their days; None where that cannot be said."""
    shape: str
    parameters: int
    cv: float | None
    periods_before: int
    periods_after: int
    days_before: int
    days_after: int
    before: tuple[float | None, ...]
    after: tuple[float | None, ...]
    as_it_was: tuple[float | None, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class MeasureAsked:
    """A measure the answer is about, with what the bills said when last asked."""

    id: int
    title: str
    state: MeasureState
    kept: BillsAnswer
    asked_on: date | None


@dataclass(frozen=True)
class WorkAnswer:
    """One piece of work: its measures, what the bills say, and why."""

    measures: tuple[MeasureAsked, ...]
    began: date
    ended: date
    meters: tuple[MeterAnswer, ...]
    site_kwh: Saved | None
    money_cents: Saved | None
    counted: tuple[date, date] | None
    """The days since the work that every meter covers: all savings are those of these days."""
    answer: BillsAnswer
    reason: str
    weather: str

    @property
    def title(self) -> str:
        return ", ".join(one.title for one in self.measures)

    @property
    def is_kept(self) -> bool:
        """Every measure carries this answer already."""
        return all(one.kept is self.answer for one in self.measures)


class DidItWorkService:
    """Asks the bills about the work that is in service, and keeps their answer."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def works(self) -> tuple[WorkAnswer, ...]:
        """Each piece of work in its order. Raises `CannotSay` for a missing weather or an odd unit."""
        with self._project.session() as session:
            return _works(self._project, session)

    def keep(self, measure_ids: Sequence[int]) -> BillsAnswer:
        """Keep today's answer with the measures of one piece of work, and move those signed off.

        Raises `MeasureGone`, `CannotSay`.
        """
        with self._project.action("Ask the bills") as work:
            session = work.session
            asked = set(measure_ids)
            found = next(
                (
                    one
                    for one in _works(self._project, session)
                    if asked <= {each.id for each in one.measures}
                ),
                None,
            )
            if found is None:
                raise MeasureGone("this work is no longer recorded so", do="look at the answers again")
            for one in found.measures:
                _keep(session, session.get_one(m.Measure, one.id), found)
            return found.answer


def _keep(session: Session, measure: m.Measure, found: WorkAnswer) -> None:
    today = today_of(session)
    measure.bills_answer, measure.bills_asked_on = found.answer, today
    session.flush()
    facts = facts_of(session, measure)
    goal = states.supported_state(facts)
    is_theirs = measure.state in _BILLS_SPOKE and goal in _BILLS_SPOKE
    if is_theirs and states.may_move(measure.state, goal, facts).is_allowed:
        move_in(measure, goal, today, f"the bills: {found.reason}")


def _works(project: Project, session: Session) -> tuple[WorkAnswer, ...]:
    in_service = {one.id: one for one in in_service_of(session)}
    found = spells([done_of(one) for one in in_service.values()])
    if not found:
        return ()
    weather = weather_in_use(project, session)
    temps = outside_temps_in_use(project, session, weather)
    today, meters = today_of(session), meter_records(project, session)
    tariffs = tariffs_of(project, session)
    answers = []
    for number, spell in enumerate(found):
        window = Window(
            spell.began,
            spell.ended,
            since=found[number - 1].ended if number else None,
            until=found[number + 1].began if number + 1 < len(found) else None,
        )
        proof = prove(meters, window, temps, today)
        asked = tuple(_asked(in_service[one]) for one in spell.measure_ids)
        silent = _silent(session, {one.name for one in meters}, window)
        answers.append(_answer(asked, spell, proof, silent, tariffs, told_of(temps, weather.name)))
    return tuple(answers)


def _silent(session: Session, telling: set[str], window: Window) -> tuple[str, ...]:
    """Meters in use of which nothing is recorded: without them what the others say is not the house."""
    meters = session.scalars(select(m.Meter).order_by(m.Meter.id)).all()
    if not meters:
        return ("no meter is recorded",)
    return tuple(
        f"{one.name}, no bill and no reading is recorded"
        for one in meters
        if one.name not in telling and not _ended_before(one, window.earliest)
    )


def _ended_before(meter: m.Meter, day: date) -> bool:
    ended = (meter.account.closed_on if meter.account is not None else None) or meter.removed_on
    return ended is not None and ended <= day


def in_service_of(session: Session) -> list[m.Measure]:
    query = select(m.Measure).where(
        m.Measure.placed_in_service_on.is_not(None), m.Measure.state.not_in(_GONE)
    )
    return list(session.scalars(query.order_by(m.Measure.id)))


def done_of(measure: m.Measure) -> Done:
    assert measure.placed_in_service_on is not None
    worked = [entry.worked_on for entry in measure.entries if not entry.is_draft]
    ended = measure.placed_in_service_on
    return Done(measure.id, min([*worked, ended]), ended)


def _asked(measure: m.Measure) -> MeasureAsked:
    return MeasureAsked(
        measure.id, measure.title, measure.state, measure.bills_answer, measure.bills_asked_on
    )


def _answer(
    asked: tuple[MeasureAsked, ...],
    spell: Spell,
    proof: SiteProof,
    silent: tuple[str, ...],
    tariffs: Mapping[str, Sequence[DatedTariff]],
    weather: str,
) -> WorkAnswer:
    site = _saved(proof.site)
    evidence = BillsEvidence(
        (*silent, *proof.faults), site.saved if site is not None else 0.0, proof.share_68
    )
    meters = tuple(_meter_answer(one, tariffs.get(one.meter.name, ())) for one in proof.meters)
    return WorkAnswer(
        measures=asked,
        began=spell.began,
        ended=spell.ended,
        meters=meters,
        site_kwh=site,
        money_cents=_together([one.money_cents for one in meters]),
        counted=proof.counted,
        answer=answer_of(evidence),
        reason=reason_of(evidence),
        weather=weather,
    )


def _meter_answer(proof: MeterProof, tariffs: Sequence[DatedTariff]) -> MeterAnswer:
    periods, fit = proof.periods, proof.fit
    return MeterAnswer(
        name=proof.meter.name,
        unit=proof.meter.unit,
        basis=periods.basis,
        why=proof.why,
        saved=_saved(proof.avoided),
        money_cents=_money(proof, tariffs),
        shape=str(fit.shape) if fit is not None else "",
        parameters=fit.parameters if fit is not None else 0,
        cv=fit.cv if fit is not None else None,
        periods_before=len(periods.before),
        periods_after=len(periods.after),
        days_before=sum(span.days for span in periods.before),
        days_after=sum(span.days for span in periods.after),
        before=_months(periods.before),
        after=_months(periods.after),
        as_it_was=_months(proof.predicted),
        left_out=_left_out(proof),
    )


def _left_out(proof: MeterProof) -> tuple[str, ...]:
    """By bill or fill; days are counted in the reason why they were taken."""
    if proof.periods.basis is Basis.DAYS:
        return ()
    return tuple(f"{month_text(one.span.start)}: {one.why}" for one in proof.periods.left_out)


def _saved(avoided: Avoided | None) -> Saved | None:
    if avoided is None:
        return None
    return Saved(avoided.predicted, avoided.measured, avoided.half_width)


def _money(proof: MeterProof, tariffs: Sequence[DatedTariff]) -> Saved | None:
    """Priced bill by bill; a closed account costs nothing, not even its fixed charge."""
    if proof.avoided is None:
        return None
    basis = proof.periods.basis
    closed = proof.meter.closed_on
    billed = [one for one in proof.periods.after if closed is None or one.start < closed]
    try:
        predicted = sum(priced_cents(span, tariffs) for span in in_bills(proof.predicted, basis))
        measured = sum(priced_cents(span, tariffs) for span in in_bills(billed, basis))
    except CannotSay:
        return None
    use = _saved(proof.avoided)
    if use is None or use.half_width is None or not use.saved:
        return Saved(predicted, measured, None)
    return Saved(predicted, measured, abs(use.half_width * (predicted - measured) / use.saved))


def _together(parts: Sequence[Saved | None]) -> Saved | None:
    """Of all meters; None where one of them is not known. Half widths add as independent errors."""
    known = [one for one in parts if one is not None]
    if not known or len(known) < len(parts):
        return None
    widths = [one.half_width for one in known if one.half_width is not None]
    half = math.hypot(*widths) if len(widths) == len(known) else None
    return Saved(sum(one.predicted for one in known), sum(one.measured for one in known), half)


def _months(spans: Sequence[MeterSpan]) -> tuple[float | None, ...]:
    """The newest year, January to December, of months that are known but for a few days."""
    use: dict[tuple[int, int], list[float]] = {}
    for span in spans:
        for number in range(span.days):
            day = span.start + timedelta(days=number)
            use.setdefault((day.year, day.month), []).append((span.used or 0.0) / span.days)
    newest: dict[int, float] = {}
    for month, days in sorted(use.items()):
        whole = monthrange(*month)[1]
        if len(days) >= whole - MOST_MISSING_OF_MONTH:
            newest[month[1]] = sum(days) / len(days) * whole
    return tuple(newest.get(number) for number in range(1, 13))
