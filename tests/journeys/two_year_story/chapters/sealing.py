"""Winter 2025: first ideas, sealing, a find in the attic."""

from __future__ import annotations

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.services.hazard_entry import HazardEntryService, Settlement, WrittenFind
from retrofit_desk.services.measure_inputs import MeasureInputsService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.work_log import WrittenPlace
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.facts import facts_of
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import room, step, write_up


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
        assert not story.ask(MeasureInputsService).record(story.ids[key], facts_of(key)).missing
        measures.set_in_line_up(story.ids[key], True)
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
