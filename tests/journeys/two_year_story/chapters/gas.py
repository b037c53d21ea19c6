"""Winter 2027: the last fire goes out, and the gas account ends."""

from __future__ import annotations

from datetime import date, time

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.services.account_closing import AccountClosingService
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenInvoice, WrittenPayment
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.visits import Booking, VisitService
from retrofit_desk.services.work_log import WrittenItem, WrittenPhoto
from retrofit_desk.values.stated import StatedValue
from tests.journeys.by_hand import id_of
from tests.journeys.two_year_story.bills import gas_use, power_use, read_bills
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import book, firm, machine, passed, permit, write_up


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
        story.ask(VisitService).book(story.ids[key], Booking(story.today))
        passed(story, key)


@on(2027, 2, 24)
def the_final_bill(story: Story) -> None:
    account = id_of(story.project, m.UtilityAccount, "gas-account")
    letter = story.letter("Final bill of Haw Bend Gas")
    story.ask(AccountClosingService).close(account, date(2027, 2, 10), paper=letter)
    read_bills(story, "gas-meter", date(2025, 11, 4), date(2027, 2, 10), "therm", gas_use)
    read_bills(story, "electric-meter", date(2025, 11, 4), story.today, "kWh", power_use)
