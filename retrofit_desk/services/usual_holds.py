"""Holds that a kind of work usually brings: from the templates to the things on record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.table_rows import HoldNeedTemplate, HoldTemplate
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.rules import holds as rules
from retrofit_desk.rules import states
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.days import today_of
from retrofit_desk.services.hold_records import RecordedHold
from retrofit_desk.values.errors import DeskError

BURNS_THAT_FUEL = "burns that fuel"
"""In a template: every machine in the house that burns the fuel of the measure's account."""
_BURNED = (m.Fuel.GAS, m.Fuel.OIL, m.Fuel.PROPANE, m.Fuel.WOOD)
_OLD_KINDS = {
    "remove_old_heat": (EquipmentKind.FURNACE, EquipmentKind.BOILER),
    "remove_old_water_heater": (EquipmentKind.WATER_HEATER,),
}
"""What a template that takes a machine out means where the measure does not name it."""


class NothingUsual(DeskError):
    """What is asked for is not among what this work usually brings."""


@dataclass(frozen=True)
class UsualHold:
    """A hold that is not on record yet. `key` tells it apart: within its measure, or among all templates."""

    key: str
    name: str
    sentence: str
    because: str
    source: str


class UsualHoldService:
    """Offers holds by the templates (a project's own table comes first), and takes those chosen."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def offer(self, measure_id: int) -> tuple[UsualHold, ...]:
        """What the measure usually brings and has not got. Raises `NothingUsual` for no such measure."""
        with self._project.session() as session:
            drafts = drafted_holds(session, self._tables(), _measure(session, measure_id))
            return tuple(_offered(session, row) for row in drafts)

    def of_kind(self, kind: str, *, needs_permit: bool = False) -> tuple[UsualHold, ...]:
        """What this kind of work usually brings, before the record says on which wall or machine.

        Their keys are taken together with what is recorded then, in the same step: `take_usual`.
        """
        return tuple(
            _foretold(one)
            for one in self._tables().hold_templates
            if not one.by_itself
            and (
                kind in one.measures
                or one.action == HoldAction.PAY
                or (needs_permit and one.action == HoldAction.START and not one.measures)
            )
        )

    def of_measure(self, measure_id: int) -> tuple[UsualHold, ...]:
        """The same, for a measure on record."""
        with self._project.session() as session:
            measure = _measure(session, measure_id)
            return self.of_kind(measure.kind, needs_permit=measure.needs_permit)

    def take(self, measure_id: int, keys: Iterable[str]) -> int:
        """Record the chosen ones in one undo step. Returns how many."""
        with self._project.action("Let the work wait for its evidence") as work:
            measure = _measure(work.session, measure_id)
            return take_holds(work.session, self._tables(), measure, keys)

    def _tables(self) -> Tables:
        return tables_of(self._project)


def take_holds(session: Session, tables: Tables, measure: m.Measure, keys: Iterable[str]) -> int:
    """Inside an action: record the chosen ones of what `drafted_holds` offers."""
    wanted = set(keys)
    drafts = [row for row in drafted_holds(session, tables, measure) if row.key in wanted]
    session.add_all(drafts)
    session.flush()
    return len(drafts)


def take_usual(session: Session, tables: Tables, measure: m.Measure, templates: Iterable[str]) -> None:
    """Inside an action: record what these templates bring to the measure as it stands now."""
    session.flush()
    wanted = set(templates)
    drafts = drafted_holds(session, tables, measure) if wanted else []
    session.add_all(row for row in drafts if row.template_key in wanted)
    session.flush()


def take_by_itself(session: Session, tables: Tables, measure: m.Measure) -> None:
    """Inside an action, when work has begun: holds that nobody needs to ask for, such as a safety test."""
    mine = {one.key for one in tables.hold_templates if one.by_itself}
    drafts = drafted_holds(session, tables, measure)
    session.add_all(row for row in drafts if row.template_key in mine)
    session.flush()


def drafted_holds(session: Session, tables: Tables, measure: m.Measure) -> list[m.Hold]:
    """Holds of the templates of this work that are not on record, filled in and not yet recorded."""
    found = []
    actions = _still_ahead(measure)
    for template in tables.hold_templates:
        if HoldAction(template.action) not in actions and not template.by_itself:
            continue
        if template.measures and measure.kind not in template.measures:
            continue
        if not template.measures and not _applies(template, measure):
            continue
        for subject, subject_id, name in _things(session, template, measure):
            if not _is_on_record(session, template, subject, subject_id):
                found.append(_draft(session, template, measure, subject, subject_id, name))
    return found


def _still_ahead(measure: m.Measure) -> frozenset[HoldAction]:
    """What can still be done too early: work under way is not started again, work in place not covered."""
    if measure.state.is_over:
        return frozenset()
    reached = states.notches(measure.state)
    if reached >= states.notches(MeasureState.IN_PLACE):
        return frozenset({HoldAction.PAY})
    every = frozenset(HoldAction)
    return every - {HoldAction.START} if reached >= states.notches(MeasureState.UNDER_WAY) else every


def _applies(template: HoldTemplate, measure: m.Measure) -> bool:
    """A template of no kind of work: signing looks at reservations by itself."""
    if template.action == HoldAction.SIGN:
        return False
    return template.action != HoldAction.START or measure.needs_permit


def _is_on_record(session: Session, template: HoldTemplate, subject: HoldSubject, subject_id: int) -> bool:
    rows = session.scalars(
        select(m.Hold).where(m.Hold.subject == subject, m.Hold.subject_id == subject_id)
    ).all()
    if subject is HoldSubject.ROOM:
        of_room = select(m.Surface.id).where(m.Surface.room_id == subject_id)
        rows = [
            *rows,
            *session.scalars(
                select(m.Hold).where(m.Hold.subject == HoldSubject.SURFACE, m.Hold.subject_id.in_(of_room))
            ),
        ]
    same_action = [row for row in rows if row.action == HoldAction(template.action)]
    if subject is HoldSubject.STAGE:
        return bool(same_action)
    return any(row.template_key == template.key for row in same_action)


_Thing = tuple[HoldSubject, int, str]


def _things(session: Session, template: HoldTemplate, measure: m.Measure) -> list[_Thing]:
    """The walls, machines, payments that one template speaks about."""
    of_subject: dict[HoldSubject, Callable[[], list[_Thing]]] = {
        HoldSubject.SURFACE: lambda: _surfaces(session, measure),
        HoldSubject.ROOM: lambda: _rooms(session, measure),
        HoldSubject.EQUIPMENT: lambda: _machines(session, template, measure),
        HoldSubject.ACCOUNT: lambda: _accounts(session, measure),
        HoldSubject.STAGE: lambda: _stages(session, measure),
        HoldSubject.CIRCUIT: lambda: _circuits(session, measure),
        HoldSubject.MEASURE: lambda: [(HoldSubject.MEASURE, measure.id, measure.title)],
    }
    return of_subject.get(HoldSubject(template.subject), list)()


def _rooms(session: Session, measure: m.Measure) -> list[_Thing]:
    """One thing for each room that is worked in; its only wall where the work touches no other there."""
    faces: dict[int, list[_Thing]] = {}
    names: dict[int, str] = {}
    for row in _faces(session, measure):
        names[row.room_id] = row.room.name
        faces.setdefault(row.room_id, []).append(
            (HoldSubject.SURFACE, row.id, f"{row.name}, {row.room.name}")
        )
    for place in measure.places:
        if place.room is not None and place.room.id not in names:
            names[place.room.id] = place.room.name
    found = [
        faces[room_id][0] if len(faces.get(room_id, ())) == 1 else (HoldSubject.ROOM, room_id, name)
        for room_id, name in names.items()
    ]
    return found or [(HoldSubject.MEASURE, measure.id, measure.title)]


def _surfaces(session: Session, measure: m.Measure) -> list[_Thing]:
    named = [
        (HoldSubject.SURFACE, row.id, f"{row.name}, {row.room.name}") for row in _faces(session, measure)
    ]
    return named or [(HoldSubject.MEASURE, measure.id, measure.title)]


def _faces(session: Session, measure: m.Measure) -> Sequence[m.Surface]:
    rows = session.scalars(select(m.Surface).where(m.Surface.key.in_(_keys(measure, "surfaces")))).all()
    return rows or [place.surface for place in measure.places if place.surface is not None]


def _machines(session: Session, template: HoldTemplate, measure: m.Measure) -> list[_Thing]:
    query = select(m.Equipment).where(m.Equipment.status != m.EquipmentStatus.REMOVED)
    if template.action == HoldAction.REMOVE and (replaced := _keys(measure, "replaces")):
        query = query.where(m.Equipment.key.in_(replaced))
    elif template.action == HoldAction.REMOVE:  # what it replaces is not said: whatever did the same so far
        old = m.Equipment.measure_id.is_distinct_from(measure.id)
        query = query.where(m.Equipment.kind.in_(_OLD_KINDS.get(template.key, ())), old)
    else:
        query = query.where(m.Equipment.fuel.in_(_BURNED))
    rows = session.scalars(query.order_by(m.Equipment.id))
    return [(HoldSubject.EQUIPMENT, row.id, row.name) for row in rows]


def _accounts(session: Session, measure: m.Measure) -> list[_Thing]:
    account = account_of(session, measure)
    open_one = account is not None and account.closed_on is None
    return [(HoldSubject.ACCOUNT, account.id, account.utility)] if account and open_one else []


def _stages(session: Session, measure: m.Measure) -> list[_Thing]:
    shares = session.scalars(select(m.ContractShare).where(m.ContractShare.measure_id == measure.id))
    paid = set(session.scalars(select(m.Payment.stage_id).where(m.Payment.stage_id.is_not(None))))
    return [
        (HoldSubject.STAGE, stage.id, f"“{stage.title}”, {share.contract.firm.name}")
        for share in shares
        for stage in share.contract.stages
        if not stage.is_deposit and share.contract.state is m.ContractState.SIGNED and stage.id not in paid
    ]


def _circuits(session: Session, measure: m.Measure) -> list[_Thing]:
    rows = session.scalars(select(m.Circuit).where(m.Circuit.measure_id == measure.id))
    found = [(HoldSubject.CIRCUIT, row.id, row.name) for row in rows]
    return found or [(HoldSubject.MEASURE, measure.id, measure.title)]


def _keys(measure: m.Measure, name: str) -> list[str]:
    found = measure.inputs.get(name, [])
    return [str(one) for one in found] if isinstance(found, list) else []


def account_of(session: Session, measure: m.Measure) -> m.UtilityAccount | None:
    """The account that a measure closes."""
    key = measure.inputs.get("account")
    return session.scalar(select(m.UtilityAccount).where(m.UtilityAccount.key == key)) if key else None


def burning(session: Session, fuel: m.Fuel | None) -> Sequence[m.Equipment]:
    """Machines still in the house that burn a fuel."""
    query = select(m.Equipment).where(
        m.Equipment.fuel == fuel, m.Equipment.status != m.EquipmentStatus.REMOVED
    )
    return session.scalars(query.order_by(m.Equipment.id)).all() if fuel in _BURNED else ()


def _draft(
    session: Session,
    template: HoldTemplate,
    measure: m.Measure,
    subject: HoldSubject,
    subject_id: int,
    name: str,
) -> m.Hold:
    needs = [
        need
        for one in template.needs
        for need in _needs(session, template, one, measure, subject, subject_id)
    ]
    for position, need in enumerate(needs):
        need.position = position
    return m.Hold(
        key=f"{template.key}-{measure.key}-{subject}-{subject_id}",
        action=HoldAction(template.action),
        what=f"{template.what} ({name})",
        subject=subject,
        subject_id=subject_id,
        measure_id=measure.id,
        because=_because(template),
        source=_source(template),
        template_key=template.key,
        made_on=today_of(session),
        needs=needs,
    )


def _needs(
    session: Session,
    template: HoldTemplate,
    one: HoldNeedTemplate,
    measure: m.Measure,
    subject: HoldSubject,
    subject_id: int,
) -> list[m.HoldNeed]:
    """One need of the template for each machine it looks at; else one, with what it looks at where known."""
    kind = NeedKind(one.kind)

    def need(text: str = one.text, **looks_at: int) -> m.HoldNeed:
        return m.HoldNeed(
            kind=kind,
            text=text,
            paper_kind=one.paper_kind,
            test_kind=one.test_kind,
            count=one.count,
            with_whom=one.with_whom,
            not_applicable_reason="",
            measure_id=measure.id if one.test_kind else None,
            **looks_at,
        )

    if kind in (NeedKind.EQUIPMENT_RUNNING, NeedKind.TAKEN_OUT):
        rows = _looked_at(session, one, measure)
        each = len(rows) > 1 or kind is NeedKind.TAKEN_OUT
        return [
            need(f"{one.text} ({row.name})" if each else one.text, equipment_id=row.id) for row in rows
        ] or [need()]
    if kind is NeedKind.INSPECTION:
        visit = visit_of(session, measure.id, one.inspection_kind)
        return [need(inspection_id=visit.id) if visit is not None else need()]
    if kind is NeedKind.PERMIT:
        permits = _permits(session, measure.id)
        return [need(f"the permit “{row.title}” is issued", permit_id=row.id) for row in permits] or [need()]
    if kind is NeedKind.WAIVER and subject is HoldSubject.STAGE:
        return [need(stage_id=subject_id)]
    return [need()]


def _looked_at(session: Session, one: HoldNeedTemplate, measure: m.Measure) -> Sequence[m.Equipment]:
    if BURNS_THAT_FUEL in one.equipment:
        account = account_of(session, measure)
        return burning(session, account.fuel if account is not None else None)
    query = select(m.Equipment).where(m.Equipment.status != m.EquipmentStatus.REMOVED)
    if one.equipment:
        return session.scalars(query.where(m.Equipment.kind.in_(one.equipment))).all()
    return session.scalars(query.where(m.Equipment.measure_id == measure.id)).all()


def _permits(session: Session, measure_id: int) -> list[m.Permit]:
    links = session.scalars(select(m.PermitMeasure).where(m.PermitMeasure.measure_id == measure_id))
    return [link.permit for link in links if link.permit.state is not m.PermitState.WITHDRAWN]


def visit_of(session: Session, measure_id: int, kind: str) -> m.Inspection | None:
    """The first visit of this kind on the permits of a measure."""
    visits = [one for permit in _permits(session, measure_id) for one in permit.inspections]
    return next((one for one in visits if one.kind == kind), None)


def link_visits(session: Session, tables: Tables, permit: m.Permit) -> None:
    """Inside an action: holds that were made before their permit now wait for its visits and its issue."""
    templates = {one.key: one for one in tables.hold_templates}
    measures = [link.measure_id for link in permit.measures]
    rows = session.scalars(select(m.Hold).where(m.Hold.measure_id.in_(measures), m.Hold.done_on.is_(None)))
    for hold in rows:
        template = templates.get(hold.template_key)
        by_text = {one.text: one.inspection_kind for one in template.needs} if template else {}
        for need in hold.needs:
            kind = by_text.get(need.text)
            if need.kind is NeedKind.INSPECTION and need.inspection_id is None and kind:
                visit = next((one for one in permit.inspections if one.kind == kind), None)
                need.inspection_id = visit.id if visit is not None else None
            if need.kind is NeedKind.PERMIT and need.permit_id is None:
                need.permit_id = permit.id


def _foretold(one: HoldTemplate) -> UsualHold:
    needs = tuple(rules.Need(NeedKind(need.kind), need.text) for need in one.needs)
    hold = rules.Hold(one.key, HoldAction(one.action), one.what, needs)
    name = f"{one.action.capitalize()} {one.what}"
    sentence = rules.answer(hold, (), date.min).sentence
    return UsualHold(one.key, name, sentence, _because(one), _source(one))


def _because(one: HoldTemplate) -> str:
    return " ".join(part for part in (one.because, one.caution) if part)


def _source(one: HoldTemplate) -> str:
    origin = one.origin
    return ", ".join(part for part in (origin.source, origin.edition, origin.confidence) if part)


def _offered(session: Session, row: m.Hold) -> UsualHold:
    sentence = rules.answer(RecordedHold.of(row).plain({}), (), today_of(session)).sentence
    return UsualHold(row.key, f"{str(row.action).capitalize()} {row.what}", sentence, row.because, row.source)


def _measure(session: Session, measure_id: int) -> m.Measure:
    measure = session.get(m.Measure, measure_id)
    if measure is None:
        raise NothingUsual("this measure is no longer recorded", do="undo, or choose another one")
    return measure
