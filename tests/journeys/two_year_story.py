"""Two years of the house, from the first idea to the closed gas account and the proven savings.

    python -m tests.journeys.two_year_story FOLDER

plays the story into FOLDER and draws every page of the window on five of its days. Each chapter is one day
of the owners: what they do stands in it, through the services that the window uses.
"""

from __future__ import annotations

import csv
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, time, timedelta
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from sqlalchemy import select

from retrofit_desk.estimate.proof import daily_means_f
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import FactKind, PaperKind, PaperSubject
from retrofit_desk.records.models.programmes import ClaimState, ReservationState
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.rules.holds import HoldAction, NeedKind, NotYet
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.account_closing import AccountClosingService
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.equipment_entry import EquipmentEntryService, MachineFacts, WrittenWarranty
from retrofit_desk.services.hazard_entry import HazardEntryService, Settlement, WrittenFind
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import (
    WrittenContract,
    WrittenInvoice,
    WrittenPayment,
    WrittenWaiver,
)
from retrofit_desk.services.papers import Fact, Filing, PaperService, Use
from retrofit_desk.services.people import FirmKind, PeopleService, WrittenFirm
from retrofit_desk.services.permits import (
    Booking,
    CannotBook,
    NewPermit,
    PermitDay,
    PermitService,
    VisitResult,
    WrittenCorrection,
)
from retrofit_desk.services.programme_entry import (
    ProgrammeEntryService,
    WrittenClaim,
    WrittenReservation,
)
from retrofit_desk.services.quote_values import (
    Acceptance,
    WrittenLine,
    WrittenQuote,
    WrittenRequest,
    WrittenScope,
    WrittenStage,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.read_in import read_in
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.steps import StepService, WrittenStep
from retrofit_desk.services.work_log import (
    WorkLogService,
    WriteUp,
    WrittenItem,
    WrittenPhoto,
    WrittenPlace,
    WrittenSetting,
)
from retrofit_desk.values.stated import Stated, StatedValue
from tests.journeys.by_hand import change, id_of, put
from tests.journeys.papers import a_letter, a_photo
from tests.journeys.story_clock import StoryClock
from tests.journeys.story_house import found_house

FIRST = date(2025, 11, 10)
UNKNOWN: StatedValue[Any] = StatedValue(None, Stated.UNKNOWN)
FIVE_DAYS = (
    date(2026, 3, 6),
    date(2026, 6, 1),
    date(2026, 9, 18),
    date(2026, 12, 9),
    date(2028, 1, 15),
)
"""Asked for the reservation; payment stopped and wall open; reservation lost; no heat; proven."""
INSPECTOR = "R. Castellanos-Webb"


@dataclass
class Story:
    """The house on the desk, the day it is, and the ids of what was written down so far."""

    project: Project
    clock: StoryClock
    post: Path
    """Where papers lie before they are filed."""
    ids: dict[str, int] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)
    """What the program answered where it refused."""

    @property
    def today(self) -> date:
        return self.clock.today

    def ask(self, service: Callable[[Project], Any]) -> Any:
        return service(self.project)

    def letter(self, words: str) -> Path:
        return a_letter(self.post / f"{words[:40]}.pdf".replace("/", " "), f"{words}\n{self.today}")

    def photo(self, words: str) -> Path:
        return a_photo(self.post / f"{words}.jpg", f"{words} {self.today}")

    def refused(self, name: str, action: Callable[[], object], kind: type[Exception] = NotYet) -> None:
        """The program must refuse this; its sentence is kept."""
        try:
            action()
        except kind as error:
            self.said[name] = str(error)
        else:
            raise AssertionError(f"{name}: nothing held it back")


Chapter = Callable[[Story], None]
CHAPTERS: list[tuple[date, Chapter]] = []


def on(year: int, month: int, day: int) -> Callable[[Chapter], Chapter]:
    """The day of a chapter."""

    def told(chapter: Chapter) -> Chapter:
        CHAPTERS.append((date(year, month, day), chapter))
        return chapter

    return told


def play(folder: Path, until: date = date.max) -> Story:
    """Live through the story up to a day; its project stays open."""
    clock = StoryClock(FIRST)
    story = Story(found_house(folder, clock), clock, Path(mkdtemp(prefix="post-")))
    for day, chapter in sorted(CHAPTERS, key=lambda one: one[0]):
        if day > until:
            break
        clock.set(day)
        chapter(story)
    shutil.rmtree(story.post, ignore_errors=True)
    return story


# --- words the chapters use ---------------------------------------------------


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
    story.ask(PermitService).record_result(story.ids[visit], result)


def book(story: Story, visit: str, day: date) -> None:
    story.ask(PermitService).book(story.ids[visit], Booking(day, "8 to 12"))


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
            story.ask(PermitService).take_out_visit(story.ids[key])


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


# --- winter 2025: first ideas, sealing, a find in the attic ----------------------


@on(2025, 11, 10)
def first_ideas(story: Story) -> None:
    measures = story.ask(MeasureService)
    for key, kind, title in (
        ("sealing", "air_sealing", "Air sealing"),
        ("den", "insulation_batts", "Wood-fiber batts in the den walls"),
        ("ground", "ground_source_heat_pump", "Ground-source heat pump"),
        ("water", "heat_pump_water_heater", "Heat-pump water heater"),
        ("range", "induction_range", "Induction range"),
        ("gas", "gas_account_closed", "Gas account closed"),
    ):
        story.ids[key] = measures.add(kind, title, own_work=key in ("sealing", "den"))
    measures.cost_it(story.ids["sealing"], StatedValue(120_000), "Own costing, materials from the catalog")
    measures.cost_it(story.ids["den"], StatedValue(140_000), "Own costing")
    measures.cost_it(story.ids["gas"], StatedValue(35_000), "Fee sheet of Haw Bend Gas, by telephone")
    step(story, "seal", "Seal the attic floor and the sill", TaskKind.WORK, 4, of="sealing")


@on(2025, 12, 1)
def a_find_in_the_attic(story: Story) -> None:
    write_up(
        story,
        "sealing",
        "Maren and Idris",
        "Began at the hatch. Under the mineral wool lies a gray, glittering fill.",
        still_open="Stopped: the fill is tested first.",
        places=(WrittenPlace(room(story, "attic")),),
    )
    story.ask(HazardEntryService).record(
        WrittenFind(
            "vermiculite",
            "Attic floor by the chimney",
            HazardState.SENT_TO_TEST,
            story.today,
            story.ids["sealing"],
            room(story, "attic"),
            notes="Sample sent to the laboratory; nobody goes up until it answers.",
        )
    )
    with story.project.session() as session:
        story.ids["fill"] = session.scalars(select(m.HazardFinding.id)).one()


@on(2025, 12, 15)
def the_laboratory_answers(story: Story) -> None:
    report = story.letter("Laboratory report: no asbestos in the attic fill")
    answer = Settlement(HazardState.NOT_FOUND, story.today, "Laboratory of the county", report)
    story.ask(HazardEntryService).settle(story.ids["fill"], answer)


@on(2025, 12, 22)
def the_house_is_tight(story: Story) -> None:
    leakage = WrittenTest(
        "blower_door",
        "Leakage at 50 Pa",
        StatedValue(1.15),
        "m3/s",
        high_limit=1.25,
        limit_source="Own goal",
        gauge="HF-2",
        medium="air",
        witness="Della Marsh-Reyes",
    )
    flues = WrittenTest(
        "worst_case_depressurization",
        "Depressurization of the utility room",
        StatedValue(-3.1),
        "Pa",
        gauge="HF-2",
        witness="Della Marsh-Reyes",
    )
    write_up(
        story,
        "sealing",
        "Maren and Idris",
        "Hatch, chase, sill and top plates sealed.",
        hours=StatedValue(38.0),
        tests=(leakage, flues),
        is_complete=True,
        places=(
            WrittenPlace(room(story, "attic"), None, "Sealed top plates under the mineral wool"),
            WrittenPlace(room(story, "crawl-space")),
        ),
    )
    with story.project.session() as session:
        asked = session.scalars(
            select(m.HoldNeed.id).where(m.HoldNeed.text.contains("combustion safety"))
        ).all()
    sheet = Filing(
        PaperKind.TEST_SHEET,
        "Combustion safety test after the sealing",
        story.today,
        uses=tuple(Use(PaperSubject.HOLD_NEED, need) for need in asked),
    )
    story.ask(PaperService).file(story.letter("Combustion safety test, Hollyfen"), sheet)
    story.ask(StepService).finish(story.ids["seal"])
    story.ask(MeasureService).accept_work(story.ids["sealing"])


# --- spring 2026: quotes, the reservation, the signature -------------------------

SCOPE = (
    "Bores, pipes and grout",
    "Header trench and backfill",
    "Heat pump with buffer tank, set and connected",
    "Start-up sheet with flows and temperatures",
    "Removal of the old furnace",
)
ANSWERS = {
    "sorrel-ridge": (3_980_000, 9_400.0, "after air sealing", "IIIII"),
    "ninefold": (3_610_000, 13_900.0, "as found", "IXI?X"),
    "harrowgate": (4_420_000, 9_900.0, "after air sealing", "IIIAI"),
}
WORDS = {
    "I": ScopeAnswer.INCLUDED,
    "X": ScopeAnswer.EXCLUDED,
    "?": ScopeAnswer.NOT_STATED,
    "A": ScopeAnswer.ALLOWANCE,
}


@on(2026, 1, 26)
def three_firms_are_asked(story: Story) -> None:
    quotes = story.ask(QuoteService)
    load = quotes.keep_load()
    scope = tuple(
        WrittenScope(text, StatedValue(guess) if guess else UNKNOWN, "Catalog" if guess else "")
        for text, guess in zip(SCOPE, (0, 180_000, 0, 45_000, 110_000), strict=True)
    )
    story.ids["request"] = quotes.record_request(
        WrittenRequest(
            story.ids["ground"],
            "Ground-source heat pump",
            story.today,
            date(2026, 2, 20),
            load,
            scope,
        )
    )
    quotes.ask_firms(story.ids["request"], tuple(firm(story, key) for key in ANSWERS))


@on(2026, 2, 18)
def the_quotes_come(story: Story) -> None:
    quotes = story.ask(QuoteService)
    scope = quotes.sheet(story.ids["request"]).scope
    for key, (price, capacity, based_on, answers) in ANSWERS.items():
        lines = tuple(
            WrittenLine(row.id, row.text, WORDS[word]) for row, word in zip(scope, answers, strict=True)
        )
        quote_id = quotes.record_quote(
            story.ids["request"],
            WrittenQuote(
                firm(story, key),
                story.today,
                date(2026, 4, 18),
                price_cents=StatedValue(price),
                make="Tarnbeck",
                model="TB-WW30",
                capacity_w=StatedValue(capacity),
                capacity_at_c=-7.0,
                based_on=based_on,
                measured_on_site=key != "ninefold",
                lines=lines,
                paper=story.letter(f"Quote of {key} for the heat pump"),
            ),
        )
        story.ids[f"quote:{key}"] = quote_id


@on(2026, 3, 3)
def the_reservation_is_asked_for(story: Story) -> None:
    rebates = story.ask(ProgrammeEntryService)
    story.ids["choice"] = rebates.choose(story.ids["ground"], "carraway-ground-heat", StatedValue(400_000))
    rebates.correct(story.ids["choice"], StatedValue(400_000), 2.67)
    reserve(story, "choice", ReservationState.ASKED, asked_on=story.today)
    story.refused("signing early", lambda: sign(story))


def sign(story: Story) -> int:
    stages = (
        WrittenStage("On signing", 398_000, is_deposit=True),
        WrittenStage("Bores tested", 1_600_000, "Pressure test passed"),
        WrittenStage("Machine running", 1_582_000, "Start-up sheet"),
        WrittenStage("Final", 400_000, "Mechanical final passed", is_final=True),
    )
    acceptance = Acceptance(
        story.ids["quote:sorrel-ridge"],
        story.today,
        "SR-2603",
        3_980_000,
        5.0,
        stages,
        paper=story.letter("Contract SR-2603 for the heat pump"),
    )
    contract: int = story.ask(QuoteService).accept(acceptance)
    return contract


@on(2026, 3, 20)
def the_reservation_comes_and_the_contract_is_signed(story: Story) -> None:
    reserve(
        story,
        "choice",
        ReservationState.HELD,
        number="CG-26-088",
        asked_on=date(2026, 3, 3),
        held_from=story.today,
        ends_on=date(2026, 9, 16),
    )
    story.ids["contract"] = sign(story)
    people = story.ask(PeopleService)
    ninefold = firm(story, "ninefold")
    known = people.sheet(ninefold).row
    people.record(WrittenFirm(known.name, FirmKind.CONTRACTOR, trade=known.trade, is_backup=True), ninefold)
    name_stages(story, "contract")
    pay(story, "contract:On signing")
    money = story.ask(MoneyService)
    story.ids["driller"] = money.record_party(
        story.ids["contract"], "Ottermark Drilling", "bores", date(2026, 3, 27), None
    )
    driller = firm(story, "ottermark")
    step(story, "bores", "Drill, grout and test the bores", TaskKind.WORK, 4, of="ground", firm_id=driller)
    step(
        story,
        "delivery",
        "Heat pump on its way",
        TaskKind.WAIT,
        120,
        of="ground",
        with_whom="Sorrel Ridge Ground Heat",
        days_low=90,
        days_high=210,
    )
    step(
        story,
        "set",
        "Set and start the heat pump",
        TaskKind.WORK,
        4,
        of="ground",
        after=("bores", "delivery"),
        firm_id=firm(story, "sorrel-ridge"),
    )
    step(story, "nights", "Two cold nights on the heat pump", TaskKind.WAIT, 10, of="ground", after=("set",))
    step(story, "out", "Take the furnace out", TaskKind.WORK, 1, of="ground", after=("nights",))
    step(
        story,
        "cut-off",
        "Gas utility's date for the cut-off",
        TaskKind.WAIT,
        90,
        of="gas",
        with_whom="Haw Bend Gas",
        days_low=60,
        days_high=180,
    )
    step(story, "cap", "Cap and test the gas", TaskKind.WORK, 1, of="gas", after=("out", "cut-off"))
    story.ask(StepService).begin(story.ids["delivery"])
    story.ids["heat pump"], _effect = story.ask(EquipmentEntryService).record(
        None, heat_pump(story, status=m.EquipmentStatus.NOT_YET_RUNNING)
    )
    story.ids["hold:out"] = new_hold(
        story,
        HoldAction.REMOVE,
        "the gas furnace",
        m.HoldSubject.EQUIPMENT,
        machine(story, "furnace"),
        "ground",
        m.HoldNeed(kind=NeedKind.OTHER, text="the heat pump is tested and running"),
        m.HoldNeed(kind=NeedKind.OTHER, text="two cold nights have passed on the heat pump alone"),
    )
    change(
        story.project, "Let a step wait for a hold", m.Task, story.ids["out"], hold_id=story.ids["hold:out"]
    )


def reserve(story: Story, choice: str, state: ReservationState, **more: Any) -> None:
    amount = 80_000 if choice == "water choice" else 400_000
    told = WrittenReservation(state, amount_cents=StatedValue(amount), **more)
    story.ask(ProgrammeEntryService).record_reservation(story.ids[choice], told)


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


# --- the den: a failed visit, a wall covered too early and opened again -----------


@on(2026, 4, 6)
def permits_for_the_den(story: Story) -> None:
    permit(story, "building", m.PermitKind.BUILDING, "Building permit, den walls", ("den",))
    permit(story, "electrical", m.PermitKind.ELECTRICAL, "Electrical permit, den", ("den",))
    permit(story, "mechanical", m.PermitKind.MECHANICAL, "Mechanical permit, heat pump", ("ground",))
    only_visits(story, "building", ("framing", "insulation", "building_final"))
    only_visits(story, "electrical", ("rough_electrical", "electrical_final"))
    only_visits(story, "mechanical", ("ground_loop_test", "header_trench", "mechanical_final"))


@on(2026, 4, 20)
def the_permits_are_issued(story: Story) -> None:
    issued(story, "building", "B-26-1801", date(2027, 4, 20))
    issued(story, "electrical", "E-26-3310")
    issued(story, "mechanical", "M-26-0975")
    story.ask(StepService).agree_day(story.ids["bores"], date(2026, 5, 4))
    batts = WrittenInvoice(
        firm(story, "linden-yard"), story.today, 88_000, measure_id=story.ids["den"], number="LY-1107"
    )
    story.ids["batts"] = story.ask(MoneyService).record_invoice(batts)


@on(2026, 5, 5)
def the_driller_did_not_come(story: Story) -> None:
    """The day before was agreed. A call; a new day; the plan moves."""
    steps = story.ask(StepService)
    said = "Rig broken in Reidsville; can come on the 18th."
    steps.note_contact(story.ids["bores"], said, date(2026, 5, 15))
    story.ask(MoneyService).pay_invoice(story.ids["batts"], WrittenPayment(88_000, story.today, "card"))
    steps.agree_day(story.ids["bores"], date(2026, 5, 18))


@on(2026, 5, 9)
def the_paneling_comes_off(story: Story) -> None:
    write_up(
        story,
        "den",
        "Maren and Idris",
        "Paneling down, no insulation found. Wickerlane ran new cable.",
        hours=StatedValue(14.0),
        places=(WrittenPlace(room(story, "den"), face(story, "den-north"), "New 14 AWG cable at 18 in"),),
        still_open="Rough electrical must pass before the batts go in.",
    )
    story.ids["hold:den"] = new_hold(
        story,
        HoldAction.COVER,
        "the den north wall",
        m.HoldSubject.SURFACE,
        face(story, "den-north"),
        "den",
        m.HoldNeed(
            kind=NeedKind.INSPECTION,
            text="rough electrical has passed",
            inspection_id=story.ids["electrical:rough_electrical"],
            with_whom="City inspections office",
        ),
        m.HoldNeed(
            kind=NeedKind.INSPECTION,
            text="the insulation inspection has passed",
            inspection_id=story.ids["building:insulation"],
        ),
        m.HoldNeed(
            kind=NeedKind.PHOTO_SET, text="three photos of the open wall with a tape are filed", count=3
        ),
    )
    book(story, "electrical:rough_electrical", date(2026, 5, 20))


@on(2026, 5, 20)
def rough_electrical_fails(story: Story) -> None:
    corrections = (
        WrittenCorrection("Box fill exceeded at the double outlet", "NEC 314.16"),
        WrittenCorrection("Staple within 8 in of the single box", "NEC 334.30"),
    )
    told = VisitResult(
        story.today,
        InspectionResult.FAILED,
        INSPECTOR,
        corrections,
        paper=story.letter("Correction list of 20 May, den"),
    )
    story.ask(PermitService).record_result(story.ids["electrical:rough_electrical"], told)
    name_visits(story, "electrical")
    again = "electrical:rough_electrical:again"
    story.refused("booking again", lambda: book(story, again, date(2026, 5, 27)), CannotBook)


@on(2026, 5, 23)
def a_helper_covers_the_wall(story: Story) -> None:
    """On a Saturday, with the best of intentions; the record is told why."""
    holds = story.ask(HoldService)
    story.refused("covering early", lambda: holds.do_step(story.ids["hold:den"]))
    holds.do_step(
        story.ids["hold:den"], reason="My brother put the boards up before I was home", by="Idris Hollowell"
    )


@on(2026, 5, 26)
def the_wall_is_opened_again(story: Story) -> None:
    holds = story.ask(HoldService)
    holds.reopen(story.ids["hold:den"], "The inspector wants to see the cable")
    write_up(
        story,
        "den",
        "Idris",
        "Boards of the north wall down again.",
        hours=StatedValue(3.0),
        places=(WrittenPlace(room(story, "den"), face(story, "den-north")),),
    )
    permits = story.ask(PermitService)
    sheet = permits.sheet(story.ids["electrical"])
    for visit in sheet.visits:
        for one in visit.open_corrections:
            permits.close_correction(one.id, "Put right by Wickerlane", story.photo(f"Put right {one.id}"))
    book(story, "electrical:rough_electrical:again", date(2026, 6, 2))


@on(2026, 6, 2)
def rough_electrical_passes(story: Story) -> None:
    passed(story, "electrical:rough_electrical:again", "J. Thackeray-Lum")
    book(story, "building:framing", date(2026, 6, 5))


@on(2026, 6, 5)
def framing_passes_and_the_batts_go_in(story: Story) -> None:
    passed(story, "building:framing")
    photos = tuple(
        WrittenPhoto(
            story.photo(f"Den north wall {at}"),
            f"Den north wall, {at} of 3",
            room(story, "den"),
            face(story, "den-north"),
            m.Direction.NORTH,
            True,
            story.ids["need:three photos of the open wall with a tape are filed"],
        )
        for at in (1, 2, 3)
    )
    write_up(
        story,
        "den",
        "Maren and Idris",
        "Batts in both walls; tape in every photo.",
        hours=StatedValue(9.0),
        places=(
            WrittenPlace(room(story, "den"), face(story, "den-north"), "Wood-fiber batts, 3 1/2 in"),
            WrittenPlace(room(story, "den"), face(story, "den-south"), "Wood-fiber batts, 3 1/2 in"),
        ),
        items=(WrittenItem("Wood-fiber batts", "Fennholt", "FH-90", "", 41.0, "batts"),),
        photos=photos,
        is_complete=True,
    )
    book(story, "building:insulation", date(2026, 6, 12))


@on(2026, 6, 12)
def insulation_passes_and_the_wall_is_covered(story: Story) -> None:
    passed(story, "building:insulation")
    story.ask(HoldService).do_step(story.ids["hold:den"])


# --- the bores, and a payment that must wait ---------------------------------------


@on(2026, 5, 22)
def the_bores_are_tested(story: Story) -> None:
    gauge = story.photo("Gauge of the driller")
    pressure = WrittenTest(
        "ground_loop_pressure",
        "Pressure of the loop",
        StatedValue(700.0),
        "kPa",
        end_value=699.0,
        started=time(10, 0),
        ended=time(10, 45),
        gauge="OM-4",
        medium="water",
        ambient_change_c=1.0,
        witness="Maren Hollowell",
        photo=gauge,
    )
    write_up(
        story,
        "ground",
        "Ottermark crew",
        "Three bores of 200 ft grouted; ties 7.42 m from the northeast, 11.08 m from the southeast corner.",
        firm_id=firm(story, "ottermark"),
        tests=(pressure,),
        photos=(WrittenPhoto(gauge, "Gauge at the end of the loop test"),),
    )
    story.ask(StepService).finish(story.ids["bores"])
    passed(story, "mechanical:ground_loop_test")


@on(2026, 6, 1)
def a_payment_is_stopped(story: Story) -> None:
    """The driller gave notice and has signed nothing."""
    invoice = WrittenInvoice(
        None,
        story.today,
        1_600_000,
        story.ids["contract"],
        story.ids["contract:Bores tested"],
        number="SR-7001",
        retained_cents=80_000,
        paper=story.letter("Bill SR-7001 of Sorrel Ridge, bores"),
    )
    story.ask(MoneyService).record_invoice(invoice)
    waiver(story, "contract", WaiverKind.CONDITIONAL_PROGRESS, "contract:Bores tested")
    story.refused("paying without the waiver", lambda: pay(story, "contract:Bores tested"))


@on(2026, 6, 9)
def the_waiver_comes_and_the_stage_is_paid(story: Story) -> None:
    waiver(story, "contract", WaiverKind.CONDITIONAL_PROGRESS, "contract:Bores tested", "driller")
    passed(story, "mechanical:header_trench")
    pay(story, "contract:Bores tested")


# --- autumn: the delivery slips, the reservation is lost ---------------------------


@on(2026, 7, 20)
def the_factory_is_late(story: Story) -> None:
    steps = story.ask(StepService)
    said = "The factory ships at the end of October, not in July."
    steps.note_contact(story.ids["delivery"], said, date(2026, 9, 1))
    steps.expect(story.ids["delivery"], date(2026, 11, 16))


@on(2026, 9, 17)
def the_reservation_is_lost(story: Story) -> None:
    """Its last day was yesterday, and the machine is not running. The family asks again."""
    reserve(story, "choice", ReservationState.LOST, number="CG-26-088", held_from=date(2026, 3, 20))
    reserve(story, "choice", ReservationState.ASKED, asked_on=story.today)


@on(2026, 10, 2)
def a_second_reservation(story: Story) -> None:
    reserve(
        story,
        "choice",
        ReservationState.HELD,
        number="CG-26-301",
        asked_on=date(2026, 9, 17),
        held_from=story.today,
        ends_on=date(2027, 3, 31),
    )


# --- the water heater, and one letter on a certificate ------------------------------


@on(2026, 9, 28)
def a_water_heater_is_ordered(story: Story) -> None:
    story.ids["water choice"] = story.ask(ProgrammeEntryService).choose(
        story.ids["water"], "carraway-water-heating", StatedValue(80_000)
    )
    reserve(
        story,
        "water choice",
        ReservationState.HELD,
        number="CW-26-411",
        asked_on=date(2026, 9, 14),
        held_from=story.today,
        ends_on=date(2026, 12, 27),
    )
    stages = (WrittenStage("When it runs", 392_000, "Hot water at every tap", is_final=True),)
    contract = WrittenContract(
        firm(story, "pennant"),
        story.ids["water"],
        "Heat-pump water heater",
        "PP-818",
        story.today,
        392_000,
        0.0,
        stages,
        story.letter("Contract PP-818, water heater"),
    )
    story.ids["water contract"] = story.ask(MoneyService).record_contract(contract)
    name_stages(story, "water contract")


@on(2026, 10, 14)
def the_water_heater_runs(story: Story) -> None:
    photo = story.photo("nameplate")
    tank = WrittenTest(
        "tank_temperature",
        "Tank temperature",
        StatedValue(51.0),
        "degC",
        gauge="Owner's thermometer",
        witness="Idris Hollowell",
        photo=photo,
    )
    write_up(
        story,
        "water",
        "Pennant, two fitters",
        "Set in the utility room; mixing valve set to 120 F.",
        firm_id=firm(story, "pennant"),
        hours=StatedValue(7.0),
        places=(WrittenPlace(room(story, "utility")),),
        items=(WrittenItem("Heat-pump water heater", "Oskeld", "OK-66H", "OK66-2609-01187"),),
        settings=(WrittenSetting("Tank set point", "124 F"), WrittenSetting("Mode", "heat pump only")),
        tests=(tank,),
        photos=(WrittenPhoto(photo, "Nameplate of the water heater", room(story, "utility")),),
        is_complete=True,
    )
    machines = story.ask(EquipmentEntryService)
    tank_facts = MachineFacts(
        "Heat-pump water heater",
        m.EquipmentKind.HEAT_PUMP_WATER_HEATER,
        fuel=m.Fuel.ELECTRICITY,
        make="Oskeld",
        model="OK-66H",
        serial="OK66-2609-01187",
        room_id=room(story, "utility"),
        measure_id=story.ids["water"],
        installed_on=story.today,
        tested_on=story.today,
        installed_by_firm_id=firm(story, "pennant"),
        heating_capacity_w=StatedValue(1500.0),
    )
    story.ids["new tank"], _effect = machines.record(None, tank_facts)
    cover = WrittenWarranty(
        m.CoverKind.PARTS, story.today, date(2036, 10, 13), register_by=date(2026, 12, 13)
    )
    machines.put_warranty(story.ids["new tank"], None, cover)
    story.ask(EquipmentEntryService).take_out(machine(story, "gas-water-heater"), story.today)
    papers = story.ask(PaperService)
    serves = (
        Use(PaperSubject.EQUIPMENT, story.ids["new tank"]),
        Use(PaperSubject.MEASURE, story.ids["water"]),
    )
    plate = Filing(
        PaperKind.PHOTO,
        "Nameplate, close",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-01187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    papers.file(story.photo("nameplate close"), plate)
    certificate = Filing(
        PaperKind.MATCH_CERTIFICATE,
        "Certificate of Pennant",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-O1187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    story.ids["wrong certificate"] = papers.file(
        story.letter("Certificate with a wrong serial"), certificate
    ).paper_id
    story.ask(MeasureService).accept_work(story.ids["water"])


@on(2026, 10, 26)
def the_certificate_is_put_right(story: Story) -> None:
    papers = story.ask(PaperService)
    serves = (
        Use(PaperSubject.EQUIPMENT, story.ids["new tank"]),
        Use(PaperSubject.MEASURE, story.ids["water"]),
    )
    right = Filing(
        PaperKind.MATCH_CERTIFICATE,
        "Certificate of Pennant, put right",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-01187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    papers.take_out(story.ids["wrong certificate"])
    papers.file(story.letter("Certificate with the right serial"), right)
    waiver(story, "water contract", WaiverKind.CONDITIONAL_FINAL, "water contract:When it runs")
    pay(story, "water contract:When it runs")


# --- December: no heat ---------------------------------------------------------------


@on(2026, 11, 16)
def the_heat_pump_is_delivered(story: Story) -> None:
    story.ask(StepService).finish(story.ids["delivery"])
    story.ask(StepService).agree_day(story.ids["set"], date(2026, 12, 14))


@on(2026, 11, 20)
def a_permit_is_extended(story: Story) -> None:
    """The mechanical permit would have lapsed in two weeks; the office gives half a year more in writing."""
    service = story.ask(PermitService)
    sheet = service.sheet(story.ids["mechanical"])
    day = PermitDay("M-26-0975", sheet.applied_on, sheet.issued_on, None, date(2027, 6, 1))
    service.change(story.ids["mechanical"], day)


@on(2026, 12, 1)
def the_den_is_finished(story: Story) -> None:
    """A week before the building permit would have lapsed."""
    book(story, "electrical:electrical_final", date(2026, 12, 1))
    passed(story, "electrical:electrical_final", "J. Thackeray-Lum")
    book(story, "building:building_final", date(2026, 12, 1))
    passed(story, "building:building_final")


@on(2026, 12, 9)
def the_furnace_dies_in_a_cold_snap(story: Story) -> None:
    machines, furnace = story.ask(EquipmentEntryService), machine(story, "furnace")
    known = machines.sheet(furnace)
    told = "Heat exchanger cracked; gas to it shut by Harrowgate."
    facts = replace(known.facts, status=m.EquipmentStatus.OUT_OF_ORDER, notes=told)
    machines.record(furnace, facts, known.ratings, known.settings)


@on(2026, 12, 18)
def the_heat_pump_runs(story: Story) -> None:
    flow = WrittenTest(
        "temperature_difference",
        "Temperature difference of the loop",
        StatedValue(4.2),
        "K",
        gauge="HP display",
        witness="Wendeline Okoro-Pratt",
    )
    write_up(
        story,
        "ground",
        "Sorrel Ridge, three fitters",
        "Set, purged, started. Loop 16 psi, flow 8 gpm.",
        firm_id=firm(story, "sorrel-ridge"),
        hours=StatedValue(52.0),
        places=(WrittenPlace(room(story, "utility")),),
        items=(WrittenItem("Ground-source heat pump", "Tarnbeck", "TB-WW30", "TB30-26K-04417"),),
        settings=(
            WrittenSetting("Flow temperature at 20 F", "104 F"),
            WrittenSetting("Backup element", "off"),
        ),
        tests=(flow,),
        is_complete=True,
    )
    story.ask(StepService).finish(story.ids["set"])
    story.ask(EquipmentEntryService).record(
        story.ids["heat pump"],
        heat_pump(story, serial="TB30-26K-04417", installed_on=story.today, tested_on=story.today),
    )
    for text in ("the heat pump is tested and running",):
        paper = story.letter("Start-up sheet of the heat pump")
        filing = Filing(
            PaperKind.COMMISSIONING_SHEET,
            "Start-up sheet",
            story.today,
            uses=(
                Use(PaperSubject.HOLD_NEED, story.ids[f"need:{text}"]),
                Use(PaperSubject.EQUIPMENT, story.ids["heat pump"]),
            ),
        )
        story.ask(PaperService).file(paper, filing)
    story.ask(StepService).begin(story.ids["nights"])


# --- 2027: the gas goes, the money comes ----------------------------------------------


@on(2027, 1, 8)
def the_furnace_goes(story: Story) -> None:
    steps = story.ask(StepService)
    story.refused("taking the furnace out early", lambda: steps.finish(story.ids["out"]))
    filing = Filing(
        PaperKind.TEST_SHEET,
        "Two nights at 18 F, rooms at 68 F",
        story.today,
        uses=(
            Use(PaperSubject.HOLD_NEED, story.ids["need:two cold nights have passed on the heat pump alone"]),
        ),
    )
    story.ask(PaperService).file(story.letter("Temperatures of two cold nights"), filing)
    steps.finish(story.ids["nights"])
    steps.finish(story.ids["out"])
    story.ask(EquipmentEntryService).take_out(machine(story, "furnace"), story.today)
    steps.begin(story.ids["cut-off"])
    book(story, "mechanical:mechanical_final", date(2027, 1, 12))
    oven = WrittenInvoice(
        firm(story, "wickerlane"), story.today, 214_000, measure_id=story.ids["range"], number="W-5512"
    )
    story.ids["range bill"] = story.ask(MoneyService).record_invoice(oven)


@on(2027, 1, 12)
def mechanical_final(story: Story) -> None:
    passed(story, "mechanical:mechanical_final")
    write_up(
        story,
        "range",
        "Wickerlane",
        "Circuit and range set; old range carried out.",
        firm_id=firm(story, "wickerlane"),
        items=(WrittenItem("Induction range", "Vellamo", "VR-30i", "VR30-27-004412"),),
        is_complete=True,
    )
    story.ask(EquipmentEntryService).take_out(machine(story, "gas-range"), story.today)
    story.ask(MeasureService).accept_work(story.ids["range"])
    story.ask(MoneyService).pay_invoice(story.ids["range bill"], WrittenPayment(214_000, story.today, "card"))
    permit(story, "gas permit", m.PermitKind.GAS, "Gas permit, cap", ("gas",))


@on(2027, 1, 20)
def the_claim_is_sent(story: Story) -> None:
    story.ask(ProgrammeEntryService).record_claim(
        story.ids["choice"],
        WrittenClaim(
            ClaimState.SENT,
            "CG-CL-77",
            claim_by=date(2027, 3, 13),
            sent_on=story.today,
            asked_cents=StatedValue(400_000),
        ),
    )
    issued(story, "gas permit", "G-27-0031")
    for party in ("", "driller"):
        waiver(story, "contract", WaiverKind.UNCONDITIONAL_PROGRESS, "contract:Bores tested", party)
        waiver(story, "contract", WaiverKind.CONDITIONAL_PROGRESS, "contract:Machine running", party)
    pay(story, "contract:Machine running")


@on(2027, 2, 3)
def the_gas_is_capped(story: Story) -> None:
    story.ask(StepService).finish(story.ids["cut-off"])
    capping = WrittenInvoice(
        firm(story, "pennant"), story.today, 42_000, measure_id=story.ids["gas"], number="PP-902"
    )
    bill = story.ask(MoneyService).record_invoice(capping)
    story.ask(MoneyService).pay_invoice(bill, WrittenPayment(42_000, story.today, "card"))
    gauge = story.photo("Gauge of the gas test")
    write_up(
        story,
        "gas",
        "Pennant",
        "Branch lines capped, meter valve locked; pressure test held.",
        firm_id=firm(story, "pennant"),
        tests=(
            WrittenTest(
                "gas_piping_pressure",
                "Pressure of the capped line",
                StatedValue(25.0),
                "kPa",
                end_value=25.0,
                started=time(9, 0),
                ended=time(9, 20),
                gauge="PP-2",
                medium="air",
                witness="Maren Hollowell",
                photo=gauge,
            ),
        ),
        photos=(WrittenPhoto(gauge, "Gauge of the gas test"),),
        is_complete=True,
    )
    story.ask(StepService).finish(story.ids["cap"])
    for key in [key for key in story.ids if key.startswith("gas permit:")]:
        visit = story.ask(PermitService)
        visit.book(story.ids[key], Booking(story.today))
        passed(story, key)


@on(2027, 2, 24)
def the_final_bill(story: Story) -> None:
    account = id_of(story.project, m.UtilityAccount, "gas-account")
    letter = story.letter("Final bill of Haw Bend Gas")
    story.ask(AccountClosingService).close(account, date(2027, 2, 10), paper=letter)
    read_bills(story, "gas-meter", date(2025, 11, 4), date(2027, 2, 10), "therm", gas_use)
    read_bills(story, "electric-meter", date(2025, 11, 4), story.today, "kWh", power_use)


@on(2027, 3, 5)
def the_last_payments(story: Story) -> None:
    money = story.ask(MoneyService)
    for party in ("", "driller"):
        waiver(story, "contract", WaiverKind.UNCONDITIONAL_PROGRESS, "contract:Machine running", party)
        waiver(story, "contract", WaiverKind.CONDITIONAL_FINAL, "contract:Final", party)
    pay(story, "contract:Final")
    waiver(story, "contract", WaiverKind.UNCONDITIONAL_FINAL, "contract:Final", "driller")
    held = money.sheet(story.ids["contract"]).row.held_back_cents
    money.release(story.ids["contract"], WrittenPayment(held, story.today, "bank transfer"))


@on(2027, 4, 20)
def the_rebate_comes(story: Story) -> None:
    story.ask(ProgrammeEntryService).record_claim(
        story.ids["choice"],
        WrittenClaim(
            ClaimState.PAID,
            "CG-CL-77",
            claim_by=date(2027, 3, 13),
            sent_on=date(2027, 1, 20),
            answered_on=story.today,
            asked_cents=StatedValue(400_000),
            paid_on=story.today,
            paid_cents=StatedValue(400_000),
        ),
    )


@on(2028, 1, 15)
def the_bills_prove_it(story: Story) -> None:
    read_bills(story, "electric-meter", date(2027, 2, 24), date(2028, 1, 15), "kWh", power_use)
    service = story.ask(DidItWorkService)
    for work in service.works():
        service.keep([one.id for one in work.measures])


# --- the bills that the house would have ------------------------------------------------


def gas_use(day: date, mean_f: float) -> float:
    """Therms a day: the sealed house on its furnace, until the heat pump took over."""
    if day >= date(2026, 12, 18):
        return 0.1
    water = 0.0 if day >= date(2026, 10, 14) else 0.75
    return 0.08 + water + 0.135 * max(60.0 - mean_f, 0.0)


def power_use(day: date, mean_f: float) -> float:
    """Kilowatt-hours a day: appliances and cooling; then the heat pumps."""
    use = 24.0 + 1.1 * max(mean_f - 68.0, 0.0)
    if day >= date(2026, 10, 14):
        use += 3.4
    if day >= date(2026, 12, 18):
        use += 0.84 * max(60.0 - mean_f, 0.0)
    return use


def read_bills(
    story: Story, meter: str, first: date, last: date, unit: str, use: Callable[[date, float], float]
) -> None:
    """Monthly bills between two readings, read in from the utility's file."""
    daily = daily_means_f(greensboro())
    path = story.post / f"{meter} {last}.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["period_start", "period_end", "quantity", "unit", "cost", "kind", "days_away"])
        start = first
        while start < last:
            end = min(start + timedelta(days=30), last)
            if (last - end).days < 25:
                end = last
            days = [start + timedelta(days=at) for at in range((end - start).days)]
            used = sum(use(day, float(daily[_of_year(day)])) for day in days)
            price = 1.52 if unit == "therm" else 0.135
            rows.writerow([start, end, f"{used:.1f}", unit, f"{used * price + 15:.2f}", "read", 0])
            start = end
    read_in(story.project, path, meter=meter)


def _of_year(day: date) -> int:
    """Day of a year without a leap day."""
    return (date(2026, day.month, min(day.day, 28) if day.month == 2 else day.day) - date(2026, 1, 1)).days


def main(arguments: list[str]) -> int:
    """Play the story and draw every page on its five days."""
    from tests.journeys.story_pictures import draw_pages

    folder = Path(arguments[0] if arguments else "two-year-story")
    folder.mkdir(parents=True, exist_ok=True)
    story = play(folder / "Quillback Lane")
    with story.project:
        draw_pages(story.project, FIVE_DAYS, folder)
    sys.stdout.write(f"played {len(CHAPTERS)} chapters into {story.project.path}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
