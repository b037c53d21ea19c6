"""Words the chapters use: what the owners do again and again, through the services of the window."""

from __future__ import annotations

from datetime import date
from typing import Any

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.machine_values import MachineFacts
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenPayment, WrittenWaiver
from retrofit_desk.services.packets import PacketService
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.permits import NewPermit, PermitDay, PermitService
from retrofit_desk.services.programme_entry import ProgrammeEntryService, WrittenReservation
from retrofit_desk.services.steps import StepService, WrittenStep
from retrofit_desk.services.visits import Booking, VisitResult, VisitService
from retrofit_desk.services.work_log import WorkLogService, WriteUp
from retrofit_desk.values.stated import StatedValue
from tests.journeys.by_hand import id_of, put
from tests.journeys.two_year_story.story import UNKNOWN, Story

INSPECTOR = "R. Castellanos-Webb"
OWNER = "Maren T. Hollowell"
ADDRESS = "218 Quillback Lane, Greensboro, NC 27407"


def firm(story: Story, key: str) -> int:
    return id_of(story.project, m.Firm, key)


def room(story: Story, key: str) -> int:
    return id_of(story.project, m.Room, key)


def face(story: Story, key: str) -> int:
    return id_of(story.project, m.Surface, key)


def machine(story: Story, key: str) -> int:
    return id_of(story.project, m.Equipment, key)


def step(story: Story, name: str, title: str, kind: TaskKind, days: float, **more: Any) -> None:
    after = tuple(story.ids[one] for one in more.pop("after", ()))
    measure = story.ids.get(more.pop("of", ""))
    written = WrittenStep(title, kind, days, measure_id=measure, after=after, **more)
    story.ids[name] = story.ask(StepService).add(written)


def write_up(story: Story, measure: str, who: str, notes: str, **more: Any) -> None:
    story.ask(WorkLogService).record(WriteUp(story.ids[measure], story.today, who, notes=notes, **more))


def passed(story: Story, visit: str, inspector: str = INSPECTOR) -> None:
    result = VisitResult(story.today, InspectionResult.PASSED, inspector)
    story.ask(VisitService).record_result(story.ids[visit], result)


def book(story: Story, visit: str, day: date) -> None:
    story.ask(VisitService).book(story.ids[visit], Booking(day, "8 to 12"))


def permit(story: Story, name: str, kind: m.PermitKind, title: str, measures: tuple[str, ...]) -> None:
    """Noted, applied for today; its visits get names of their kind."""
    service = story.ask(PermitService)
    ids = tuple(story.ids[one] for one in measures)
    office = firm(story, "inspections")
    story.ids[name] = service.add(NewPermit(kind, title, office, ids, is_homeowner_permit=True))
    service.change(story.ids[name], PermitDay("", story.today, None, None, None))
    name_visits(story, name)


def name_visits(story: Story, name: str) -> None:
    for visit in story.ask(PermitService).sheet(story.ids[name]).visits:
        with story.project.session() as session:
            kind = session.get_one(m.Inspection, visit.id).kind
        story.ids[f"{name}:{kind}{':again' if 'visit' in visit.title else ''}"] = visit.id


def issued(story: Story, name: str, number: str, ends_on: date | None = None) -> None:
    service = story.ask(PermitService)
    applied = service.sheet(story.ids[name]).applied_on
    service.change(story.ids[name], PermitDay(number, applied, story.today, ends_on, None))


def only_visits(story: Story, name: str, kinds: tuple[str, ...]) -> None:
    """The office does not ask for the others."""
    for key in [key for key in story.ids if key.startswith(f"{name}:")]:
        if key.split(":")[1] not in kinds:
            story.ask(VisitService).take_out_visit(story.ids[key])


def pay(story: Story, stage: str, reason: str = "") -> None:
    service = story.ask(MoneyService)
    contract = service.sheet(story.ids[stage.partition(":")[0]])
    due = next(one.due_cents for one in contract.stages if one.id == story.ids[stage])
    service.pay_stage(story.ids[stage], WrittenPayment(due, story.today, "bank transfer", reason=reason))


def waiver(story: Story, contract: str, kind: WaiverKind, stage: str, party: str = "") -> None:
    story.ask(MoneyService).record_waiver(
        story.ids[contract],
        WrittenWaiver(
            kind,
            story.ids.get(party),
            story.ids[stage],
            story.today,
            UNKNOWN,
            story.today,
            story.today,
            paper=story.letter(f"Lien waiver {kind} {party or contract} {stage}"),
        ),
    )


def name_stages(story: Story, contract: str) -> None:
    for stage in story.ask(MoneyService).sheet(story.ids[contract]).stages:
        story.ids[f"{contract}:{stage.title}"] = stage.id


def reserve(story: Story, choice: str, state: ReservationState, **more: Any) -> None:
    amount = 80_000 if choice == "water choice" else 400_000
    told = WrittenReservation(state, amount_cents=StatedValue(amount), **more)
    story.ask(ProgrammeEntryService).record_reservation(story.ids[choice], told)


def new_hold(
    story: Story,
    action: HoldAction,
    what: str,
    subject: m.HoldSubject,
    subject_id: int,
    measure: str,
    *needs: m.HoldNeed,
) -> int:
    for at, need in enumerate(needs):
        need.position = at
    hold = m.Hold(
        key=f"{action}-{subject}-{subject_id}",
        action=action,
        what=what,
        subject=subject,
        subject_id=subject_id,
        measure_id=story.ids[measure],
        made_on=story.today,
        needs=list(needs),
    )
    (hold_id,) = put(story.project, "Note what must wait", hold)
    with story.project.session() as session:
        for need in session.get_one(m.Hold, hold_id).needs:
            story.ids[f"need:{need.text}"] = need.id
    return hold_id


def heat_pump(story: Story, **more: Any) -> MachineFacts:
    return MachineFacts(
        "Ground-source heat pump",
        m.EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
        fuel=m.Fuel.ELECTRICITY,
        make="Tarnbeck",
        model="TB-WW30",
        room_id=room(story, "utility"),
        measure_id=story.ids["ground"],
        installed_by_firm_id=firm(story, "sorrel-ridge"),
        heating_capacity_w=StatedValue(9600.0),
        **more,
    )


def read_off(story: Story, title: str, *facts: tuple[FactKind, str]) -> None:
    """Note what stands on the newest paper that is called so."""
    papers = story.ask(PaperService)
    paper = next(row for row in papers.rows() if row.title.startswith(title))
    papers.note_facts(paper.id, [Fact(kind, value) for kind, value in facts])


def file_paper(
    story: Story,
    kind: PaperKind,
    title: str,
    *facts: tuple[FactKind, str],
    measure: str = "",
    is_private: bool = False,
) -> None:
    uses = (Use(PaperSubject.MEASURE, story.ids[measure]),) if measure else ()
    told = tuple(Fact(fact, value) for fact, value in facts)
    path = story.photo(title) if kind is PaperKind.PHOTO else story.letter(title)
    filing = Filing(kind, title, story.today, told, uses, is_private=is_private)
    story.ask(PaperService).file(path, filing)


def packet(
    story: Story, kind: PacketKind, name: str, to_whom: str, how: str, about: int | None = None
) -> None:
    """Make it and note to whom it went."""
    service = story.ask(PacketService)
    made = service.make(kind, about=about)
    service.record_sent(made.id, to_whom, how, story.today)
    story.ids[f"packet:{name}"] = made.id
