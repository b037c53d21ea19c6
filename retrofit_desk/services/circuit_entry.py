"""Recording circuits and loads of a panel: add, change, free, switch on, and the metered peak."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import holds_in, pass_holds
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import Stated, StatedValue

CATEGORIES = ("fastened in place", "range", "dryer", "heating", "cooling", "car charger", "general")
METERED_PEAK = "metered peak"
"""The line of the ledger that keeps the highest demand the meter saw; the second way counts from it."""
NOTHING = "nothing was changed"
NOT_STATED: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)


class CircuitUnclear(DeskError):
    """A circuit that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenCircuit:
    """A circuit as on the door, with the load it brings. `live_since` none: not switched on yet."""

    name: str
    spaces: str
    breaker_a: float
    poles: int = 1
    wire: str = ""
    room_id: int | None = None
    measure_id: int | None = None
    removed_by_measure_id: int | None = None
    volt_amperes: StatedValue[float] = NOT_STATED
    category: str = ""
    live_since: date | None = None
    source: str = ""
    reason: str = ""
    """Why it is switched on before its evidence."""
    is_managed: bool = False
    """Held back by load management while the rest of the house needs the service."""


@dataclass(frozen=True)
class CircuitChoices:
    """What the form offers, as (id, name)."""

    today: date
    rooms: tuple[tuple[int, str], ...]
    measures: tuple[tuple[int, str], ...]


class CircuitEntryService:
    """Every change is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def choices(self) -> CircuitChoices:
        with self._project.session() as session:
            return CircuitChoices(
                today_of(session),
                tuple((row.id, row.name) for row in session.scalars(select(m.Room).order_by(m.Room.id))),
                tuple(
                    (row.id, row.title)
                    for row in session.scalars(select(m.Measure).order_by(m.Measure.position))
                ),
            )

    def circuit(self, circuit_id: int) -> WrittenCircuit:
        """As it stands. Raises `CircuitUnclear` when it is not on record."""
        with self._project.session() as session:
            row = _circuit(session, circuit_id)
            load = _load(session, row)
            return WrittenCircuit(
                row.name,
                row.spaces,
                row.breaker_a,
                row.poles,
                row.wire,
                row.room_id,
                row.measure_id,
                row.removed_by_measure_id,
                load.stated("volt_amperes") if load is not None else NOT_STATED,
                load.category if load is not None else "",
                load.from_date if load is not None else None,
                load.source if load is not None else "",
                is_managed=load is not None and load.is_managed,
            )

    def waits(self, circuit_id: int) -> tuple[str, ...]:
        """What keeps a circuit from being energized today, in one sentence each."""
        with self._project.session() as session:
            row = _circuit(session, circuit_id)
            subjects = {(HoldSubject.CIRCUIT, row.id), (HoldSubject.MEASURE, row.measure_id)}
            return tuple(
                view.sentence
                for view in holds_in(session, today_of(session))
                if (view.subject, view.subject_id) in subjects
                and view.answer.hold.action is HoldAction.ENERGIZE
                and not (view.is_done or view.answer.may_go_on)
            )

    def put(self, panel_id: int, circuit_id: int | None, told: WrittenCircuit) -> int:
        """Add a circuit or correct one. Raises `CircuitUnclear`; `NotYet` when it may not be energized."""
        with self._project.action(f"Record the circuit {told.name.strip()}") as work:
            session = work.session
            panel = session.get(m.Panel, panel_id)
            if panel is None:
                raise CircuitUnclear("this panel is no longer recorded", do="undo, or record it again")
            _check(told, panel, circuit_id)
            row = _circuit(session, circuit_id) if circuit_id is not None else _new(panel)
            row.name, row.spaces, row.wire = told.name.strip(), told.spaces.strip(), told.wire.strip()
            row.breaker_a, row.poles, row.is_spare = told.breaker_a, told.poles, False
            row.room_id, row.measure_id = told.room_id, told.measure_id
            row.removed_by_measure_id = told.removed_by_measure_id
            session.flush()
            _put_load(session, row, told)
            return row.id

    def free(self, circuit_id: int) -> None:
        """Nothing hangs on it any more: its spaces are free, its load no longer counts."""
        with self._project.action("Free a circuit") as work:
            row = _circuit(work.session, circuit_id)
            load = _load(work.session, row)
            if load is not None:
                work.session.delete(load)
            row.is_spare, row.name = True, f"Spare, was {row.name}"

    def put_peak(self, panel_id: int, volt_amperes: float, on: date, source: str) -> None:
        """The highest demand of the last year as the meter saw it, and when."""
        with self._project.action("Record the metered peak") as work:
            panel = work.session.get(m.Panel, panel_id)
            if panel is None:
                raise CircuitUnclear("this panel is no longer recorded", do="undo, or record it again")
            row = next((one for one in panel.loads if one.category == METERED_PEAK), None)
            if row is None:
                row = m.PanelLoad(name="Highest demand of the meter", category=METERED_PEAK)
                panel.loads.append(row)
            row.set_stated("volt_amperes", StatedValue(volt_amperes))
            row.from_date, row.source = on, source.strip()


def _check(told: WrittenCircuit, panel: m.Panel, circuit_id: int | None) -> None:
    if not told.name.strip():
        raise CircuitUnclear("a circuit needs a name", kept=NOTHING, do="say what hangs on it")
    wanted = _spaces(told.spaces)
    if wanted and len(wanted) != told.poles:
        raise CircuitUnclear(
            f"{count_text(told.poles, 'pole takes', 'poles take')} {count_text(told.poles, 'space')}",
            where=told.spaces,
            do="write them as 2/4",
        )
    for other in panel.circuits:
        if other.id != circuit_id and not other.is_spare and wanted & _spaces(other.spaces):
            raise CircuitUnclear(
                f"{other.name} sits there", where=f"space {told.spaces}", do="choose another"
            )


def _spaces(text: str) -> set[str]:
    return {part.strip() for part in text.replace(",", "/").split("/") if part.strip()}


def _new(panel: m.Panel) -> m.Circuit:
    row = m.Circuit(
        position=max((one.position for one in panel.circuits), default=-1) + 1, name="", breaker_a=0.0
    )
    panel.circuits.append(row)
    return row


def _put_load(session: Session, row: m.Circuit, told: WrittenCircuit) -> None:
    """The circuit's line in the ledger; switching on passes the holds on energizing."""
    load = _load(session, row)
    was_live = load is not None and load.from_date is not None
    if told.live_since is not None and not was_live:
        subjects = [(HoldSubject.CIRCUIT, row.id)]
        if row.measure_id is not None:
            subjects.append((HoldSubject.MEASURE, row.measure_id))
        for subject, subject_id in subjects:
            pass_holds(
                session,
                subject,
                subject_id,
                HoldAction.ENERGIZE,
                on=told.live_since,
                reason=told.reason,
                by="owner",
            )
    if load is None:
        if not told.category:
            return
        load = m.PanelLoad(panel_id=row.panel_id, circuit_id=row.id, name=row.name, category=told.category)
        session.add(load)
    load.name, load.category = row.name, told.category or load.category
    load.set_stated("volt_amperes", told.volt_amperes)
    load.added_by_measure_id, load.removed_by_measure_id = row.measure_id, row.removed_by_measure_id
    load.from_date, load.source = told.live_since, told.source.strip()
    load.is_managed = told.is_managed


def _load(session: Session, row: m.Circuit) -> m.PanelLoad | None:
    """The line of the ledger that belongs to a circuit: by its link, else by its name."""
    loads = session.scalars(select(m.PanelLoad).where(m.PanelLoad.panel_id == row.panel_id)).all()
    linked = [one for one in loads if one.circuit_id == row.id]
    named = [one for one in loads if one.circuit_id is None and one.name == row.name]
    return next(iter(linked or named), None)


def _circuit(session: Session, circuit_id: int) -> m.Circuit:
    row = session.get(m.Circuit, circuit_id)
    if row is None:
        raise CircuitUnclear("this circuit is no longer recorded", do="undo, or choose another one")
    return row
