"""The bores: a driller who does not come, and a payment that must wait."""

from __future__ import annotations

from datetime import date, time

from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenChange, WrittenInvoice, WrittenPayment
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.work_log import WrittenPhoto
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import firm, passed, pay, waiver, write_up


@on(2026, 5, 5)
def the_driller_did_not_come(story: Story) -> None:
    """The day before was agreed. A call; a new day; the plan moves."""
    steps = story.ask(StepService)
    said = "Rig broken in Reidsville; can come on the 18th."
    steps.note_contact(story.ids["bores"], said, date(2026, 5, 15))
    story.ask(MoneyService).pay_invoice(story.ids["batts"], WrittenPayment(88_000, story.today, "card"))
    steps.agree_day(story.ids["bores"], date(2026, 5, 18))


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
    moved = WrittenChange(
        story.today,
        "Bore 3 moved four feet north of the water service: one more day of casing",
        42_000,
        change_days=1,
        measure_id=story.ids["ground"],
        signed_by_owner_on=story.today,
        signed_by_firm_on=story.today,
        paper=story.letter("Change order 1, bore 3 moved"),
    )
    story.ask(MoneyService).record_change(story.ids["contract"], moved)


@on(2026, 6, 1)
def a_payment_is_stopped(story: Story) -> None:
    """The driller gave notice and has signed nothing. The change order is in the bill."""
    invoice = WrittenInvoice(
        None,
        story.today,
        1_600_000 + 42_000,
        story.ids["contract"],
        story.ids["contract:Bores tested"],
        number="SR-7001",
        retained_cents=82_100,
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
