"""Spring 2026: quotes, the reservation, the signature."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenBudget
from retrofit_desk.services.people import FirmKind, PeopleService, WrittenFirm
from retrofit_desk.services.programme_entry import ProgrammeEntryService, WrittenRebate
from retrofit_desk.services.quote_values import (
    Acceptance,
    WrittenLine,
    WrittenQuote,
    WrittenRequest,
    WrittenScope,
    WrittenStage,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.worth import WorthService
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import UNKNOWN, Story, on
from tests.journeys.two_year_story.words import (
    ADDRESS,
    OWNER,
    firm,
    heat_pump,
    machine,
    name_stages,
    new_hold,
    pay,
    read_off,
    reserve,
    step,
)

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
def the_first_sum(story: Story) -> None:
    """What all of it would be worth, before anybody names a price."""
    story.ask(WorthService).savings()


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
    rebates.correct(story.ids["choice"], WrittenRebate(StatedValue(400_000), 2.67))
    reserve(story, "choice", ReservationState.ASKED, asked_on=story.today)
    story.refused("signing early", lambda: sign(story))


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
        paper=story.letter("Reservation CG-26-088"),
    )
    read_off(
        story,
        "Reservation letter, Ground-source heat pump",
        (FactKind.NAME, OWNER),
        (FactKind.ADDRESS, ADDRESS),
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
    step(
        story,
        "out",
        "Take the furnace out",
        TaskKind.WORK,
        1,
        of="ground",
        after=("nights",),
        hold_id=story.ids["hold:out"],
    )
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


@on(2026, 3, 20)
def a_tenth_is_set_aside(story: Story) -> None:
    """Old houses hide things; the budget is the price as signed."""
    story.ask(MeasureService).cost_it(story.ids["ground"], StatedValue(3_980_000), "Contract SR-2603")
    meant = WrittenBudget(StatedValue(6_000_000), StatedValue(10.0))
    story.ask(MoneyService).set_budget(meant)


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
