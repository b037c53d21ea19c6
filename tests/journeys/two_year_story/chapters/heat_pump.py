"""December 2026: no heat, then the heat pump."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.permits import PermitDay, PermitService
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.work_log import WrittenItem, WrittenPlace, WrittenSetting
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import firm, heat_pump, machine, room, write_up


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
