"""Rebate programmes for the measures of a house: what each pays by its dated rule, and what it waits for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_in
from retrofit_desk.rules.programme_amounts import WorkFacts
from retrofit_desk.rules.programme_checks import RuleCheck, checks
from retrofit_desk.rules.programme_file import Programme, Tax, Version
from retrofit_desk.rules.programme_stack import Apart, Stack, Taken, Wanted, adds_cents, stack
from retrofit_desk.rules.programmes import ProgrammeAnswer, ProgrammeStatus, claim_by, evaluate
from retrofit_desk.services.budget import budget_of, cost_of, rebates_of
from retrofit_desk.services.days import today_of
from retrofit_desk.services.modeled_savings import ModeledSavings, filled, modeled_savings
from retrofit_desk.services.money_values import RebateRow
from retrofit_desk.services.programme_facts import GONE, WHOLE_HOUSE, facts_of_choice, measures_of, work_facts
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.stated import Stated, StatedValue

_NEEDS_NO_COST = (
    ProgrammeStatus.ENDED,
    ProgrammeStatus.NOT_YET,
    ProgrammeStatus.NOT_COVERED,
    ProgrammeStatus.LOST,
)


@dataclass(frozen=True)
class ProgrammeLine:
    """One programme for one measure, as seen today.

    `measure_id` none: for the house as a whole. `rebate` none: it could apply and is not chosen.
    `needs`: what must be known before an amount can be told. `binding`: the cap or rule behind the amount.
    `claim_by`: on record, else by the rule; none while the work is not done or the rule names none.
    `cap_takes_cents`: what the cap that binds takes off. `taken`: at its place beside the other programmes
    chosen. `adds_cents`: what one not chosen would add to those chosen for the measure; none without any.
    """

    programme_key: str
    programme: str
    office: str
    measure_id: int | None
    measure_ids: tuple[int, ...]
    """All that it pays for, or would if it were chosen."""
    measure: str
    rebate: RebateRow | None
    status: ProgrammeStatus
    amount_cents: StatedValue[int]
    needs: str
    binding: str
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]
    tested: str
    claim_by: date | None
    changes: tuple[str, ...]
    source: str
    checked_on: date | None
    checks: tuple[RuleCheck, ...]
    cap_takes_cents: int
    tax: Tax
    taken: Taken | None = None
    adds_cents: StatedValue[int] | None = None
    covers: tuple[str, ...] = ()
    """Of one chosen for several measures or the house: what it pays for."""

    @property
    def is_chosen(self) -> bool:
        return self.rebate is not None

    @property
    def is_sure(self) -> bool:
        """Paid, or reserved in writing today."""
        return self.rebate is not None and (self.rebate.is_reserved or self.rebate.received_cents.is_known)


@dataclass(frozen=True)
class NetCost:
    """What the project costs with a rebate that nobody promised in writing, and without it."""

    programme: str
    measure: str
    with_it_cents: int
    without_it_cents: int


@dataclass(frozen=True)
class ProgrammeView:
    """All programmes on one day.

    `together_cents`: what the chosen ones pay, in their order and with all caps between them; `known_cents`:
    the part of it that can be told.
    """

    today: date
    chosen: tuple[ProgrammeLine, ...]
    could_apply: tuple[ProgrammeLine, ...]
    together_cents: StatedValue[int]
    known_cents: int
    between_them: tuple[str, ...]
    """Conflicts and caps over several programmes or measures."""
    unreserved: tuple[NetCost, ...]


@dataclass(frozen=True)
class _Asked:
    line: ProgrammeLine
    wanted: Wanted


class ProgrammeService:
    """What the rules of programmes say about the measures on record."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def view(self) -> ProgrammeView:
        """Every programme chosen or that could apply; nothing is promised by it."""
        with self._project.session() as session:
            tables = tables_in(session)
            today = today_of(session)
            rebates = {row.choice_id: row for row in rebates_of(session, today, tables)}
            modeled = modeled_savings(self._project)
            chosen = [*self._chosen(session, tables, today, rebates, modeled)]
            others = [*self._others(session, tables, today, modeled)]
            together = stack([one.wanted for one in chosen], today)
            lines = [replace(one.line, taken=together.of(*one.wanted.at)) for one in chosen]
            return ProgrammeView(
                today,
                tuple(sorted(lines, key=_by_claim)),
                tuple(sorted((_beside(one, chosen, today) for one in others), key=_by_status)),
                together.total_cents,
                together.known_cents,
                tuple(_between(together, chosen)),
                tuple(_net_costs(session, today, lines)),
            )

    def _chosen(
        self,
        session: Session,
        tables: Tables,
        today: date,
        rebates: dict[int, RebateRow],
        modeled: ModeledSavings | None,
    ) -> Iterable[_Asked]:
        for choice in session.scalars(select(m.ProgrammeChoice).order_by(m.ProgrammeChoice.id)):
            rebate = rebates.get(choice.id)
            if rebate is None:
                continue
            try:
                programme = tables.programme(choice.programme_key)
            except NotInTable:
                continue  # without a rule file only what is on record can be told, as "Due back" does
            facts = filled(facts_of_choice(session, programme, choice), programme, modeled)
            asked = _asked(session, programme, measures_of(choice), facts, today, rebate)
            is_one = not choice.others and not choice.is_whole_house
            yield asked if is_one else _over_several(session, asked, choice)

    def _others(
        self, session: Session, tables: Tables, today: date, modeled: ModeledSavings | None
    ) -> Iterable[_Asked]:
        """Programmes of the shipped and own rule files whose list names the work, not chosen for it.

        One that was invented for a sample house is offered there alone, where it was chosen before.
        """
        on_record = session.scalars(select(m.ProgrammeChoice)).all()
        here = {one.programme_key for one in on_record}
        choices = [one for one in on_record if not one.is_dropped]
        taken = {(one.programme_key, measure.id) for one in choices for measure in one.measures}
        for_house = {one.programme_key for one in choices if one.is_whole_house}
        measures = session.scalars(
            select(m.Measure).where(m.Measure.state.not_in(GONE)).order_by(m.Measure.position, m.Measure.id)
        ).all()
        for programme in tables.programmes:
            if programme.is_invented and programme.key not in here:
                continue
            kinds = {kind for version in programme.versions for kind in version.kinds}
            if WHOLE_HOUSE in kinds and measures and programme.key not in for_house:
                yield _whole_house(session, programme, measures, today, modeled)
            for measure in measures:
                if measure.kind in kinds and (programme.key, measure.id) not in taken:
                    facts = work_facts(session, [measure], programme, None)
                    yield _asked(session, programme, [measure], facts, today, None)


def _asked(
    session: Session,
    programme: Programme,
    measures: Sequence[m.Measure],
    facts: WorkFacts,
    today: date,
    rebate: RebateRow | None,
) -> _Asked:
    answer = evaluate(programme, facts, today)
    uncosted = [one.title for one in measures if not cost_of(session, one).is_known]
    if uncosted and answer.status not in _NEEDS_NO_COST:
        of_what = "the measure" if len(measures) == 1 else " and ".join(uncosted)
        answer = _without_cost(answer, of_what)
    line = _line(programme, answer, facts, rebate, today)
    first = measures[0]
    line = replace(
        line,
        measure_id=first.id,
        measure_ids=tuple(one.id for one in measures),
        measure=rebate.measure if rebate is not None else first.title,
    )
    received = rebate.received_cents.value if rebate is not None else None
    return _Asked(line, Wanted(programme, str(first.id), facts, answer, received))


def _over_several(session: Session, asked: _Asked, choice: m.ProgrammeChoice) -> _Asked:
    """Told with its measures, and weighed against what others pay for each of them."""
    measures = measures_of(choice)
    over = tuple((str(one.id), cost_of(session, one).value or 0) for one in measures)
    line = replace(
        asked.line,
        measure_id=None if choice.is_whole_house else asked.line.measure_id,
        covers=tuple(one.title for one in measures),
    )
    return _Asked(line, replace(asked.wanted, work=f"choice {choice.id}", over=over))


def _whole_house(
    session: Session,
    programme: Programme,
    measures: Sequence[m.Measure],
    today: date,
    modeled: ModeledSavings | None,
) -> _Asked:
    meant = [one for one in measures if one.in_line_up] or list(measures)
    facts = filled(work_facts(session, meant, programme, None, is_whole_house=True), programme, modeled)
    answer = evaluate(programme, facts, today)
    over = tuple((str(one.id), cost_of(session, one).value or 0) for one in meant)
    wanted = Wanted(programme, WHOLE_HOUSE, facts, answer, over=over)
    line = _line(programme, answer, facts, None, today)
    return _Asked(replace(line, measure_ids=tuple(one.id for one in meant)), wanted)


def _without_cost(answer: ProgrammeAnswer, of_what: str) -> ProgrammeAnswer:
    return replace(
        answer,
        status=ProgrammeStatus.UNKNOWN,
        amount_cents=StatedValue(None, Stated.UNKNOWN),
        binding="",
        reasons=(f"the cost of {of_what} is not known",),
    )


def _line(
    programme: Programme,
    answer: ProgrammeAnswer,
    facts: WorkFacts,
    rebate: RebateRow | None,
    today: date,
) -> ProgrammeLine:
    version = answer.version
    is_unknown = answer.status is ProgrammeStatus.UNKNOWN
    done_on = facts.dates.tested(answer.date_tested) if answer.date_tested else None
    by_rule = claim_by(version, done_on) if version is not None and answer.may_pay else None
    return ProgrammeLine(
        programme_key=programme.key,
        programme=programme.name,
        office=programme.office,
        measure_id=None,
        measure_ids=(),
        measure="The house as a whole",
        rebate=rebate,
        status=answer.status,
        amount_cents=answer.amount_cents,
        needs="; ".join(answer.reasons) if is_unknown else "",
        binding="" if is_unknown else answer.binding,
        reasons=() if is_unknown else answer.reasons,
        warnings=answer.warnings,
        tested=f"{answer.date_tested} {day_text(done_on)}" if done_on else "",
        claim_by=rebate.claim_by if rebate is not None and rebate.claim_by is not None else by_rule,
        changes=_changes(programme),
        source=_source(version),
        checked_on=version.checked_on if version else None,
        checks=checks(version, facts, today) if version is not None else (),
        cap_takes_cents=answer.cap_takes_cents,
        tax=version.tax if version is not None else Tax(),
    )


def _changes(programme: Programme) -> tuple[str, ...]:
    """When the rule became another, and when it ends."""
    ordered = sorted(programme.versions, key=lambda one: one.starts_on)
    found = [f"the rule changed on {day_text(one.starts_on)}" for one in ordered[1:]]
    if ordered[-1].ends_on is not None:
        found.append(f"its last day is {day_text(ordered[-1].ends_on)}")
    return tuple(found)


def _source(version: Version | None) -> str:
    if version is None:
        return ""
    source = version.source
    parts = [source.title, source.section, source.edition, source.confidence]
    return ", ".join(part for part in parts if part)


def _beside(asked: _Asked, chosen: Sequence[_Asked], today: date) -> ProgrammeLine:
    """What it would add to the programmes that are chosen for the same measure."""
    same = [one.wanted for one in chosen if one.wanted.shares_work_with(asked.wanted)]
    if not same or not asked.wanted.answer.may_pay:
        return asked.line
    return replace(asked.line, adds_cents=adds_cents(asked.wanted, same, today))


def _between(together: Stack, chosen: Sequence[_Asked]) -> Iterable[str]:
    """What programmes take from each other, and what a cap over several measures takes, in words."""
    measures = {one.wanted.work: one.line.measure for one in chosen}
    for apart in together.apart:
        yield _apart_words(apart, measures)
    for cap in dict.fromkeys(
        (one.name, cut.why) for one in together.taken for cut in one.cuts if cut.over_works
    ):
        cents = sum(
            cut.cents
            for one in together.taken
            for cut in one.cuts
            if cut.over_works and (one.name, cut.why) == cap
        )
        yield f"{cap[0]}: {cap[1]}, over all measures together, takes {cents_text(cents)} off"


def _apart_words(apart: Apart, measures: Mapping[str, str]) -> str:
    out, kept = " and ".join(apart.left_out), " and ".join(apart.kept)
    where = f"{measures[apart.work]}: " if apart.work in measures else ""
    if apart.needs and not apart.is_order:
        return f"{where}{out} may not pay for the same work; which pays more needs an answer: {apart.needs}"
    if apart.needs:
        return f"{out}: {apart.needs}"
    costs = f"; the rule costs {cents_text(apart.costs_cents)}" if apart.costs_cents else ""
    return f"{where}{out} may not pay for the same work as {kept}, which pays more and is counted{costs}"


def _net_costs(session: Session, today: date, chosen: Sequence[ProgrammeLine]) -> Iterable[NetCost]:
    """Of each chosen programme that is neither reserved nor paid: the forecast with it and without."""
    net = budget_of(session, today).project.net_with_all_cents
    for line in chosen:
        expected = line.rebate.expected_cents.value if line.rebate is not None else None
        if not line.is_sure and expected:
            yield NetCost(line.programme, line.measure, net, net + expected)


def _by_claim(line: ProgrammeLine) -> tuple[date, str]:
    return line.claim_by or date.max, line.programme


def _by_status(line: ProgrammeLine) -> tuple[int, str]:
    return _ORDER.index(line.status), line.programme


_ORDER = (
    ProgrammeStatus.PAYS,
    ProgrammeStatus.WAITS,
    ProgrammeStatus.UNKNOWN,
    ProgrammeStatus.NOT_YET,
    ProgrammeStatus.LOST,
    ProgrammeStatus.NOT_COVERED,
    ProgrammeStatus.ENDED,
)
